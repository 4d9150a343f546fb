//! The next test: most is learnt for the minutes, until opening up is the better way.

mod desk;
pub mod forecast;
mod opening;
pub mod outcome;
pub mod plan;
pub mod price;
mod seen;
mod seldom;
pub mod sights;
pub mod ways;

use std::collections::BTreeSet;

use serde::Serialize;

use crate::{
    circuit::{Circuit, Point, hazard},
    fault::{FaultKind, Site},
    infer::{candidate::Candidate, lower::Model, posterior::Posterior, search::Search},
    reading::{Attached, Entry, Kind, Meter, SIGNS, State},
};
use forecast::{Known, forecast, outcomes};
use outcome::{Outcome, Shown, told};
use plan::{Belief, Sight, plan};
use sights::{Look, Reachable, reachable};
use ways::{Place, Ways, ways};

/// Tests that are listed.
const LISTED: usize = 12;
/// Bits that a test must promise to be listed.
const WORTHWHILE: f64 = 0.01;
/// Probability of an undrawn member from which it is worth looking for.
const SUSPECTED: f64 = 0.02;

/// Everything the advice depends on.
#[derive(Clone, Copy)]
pub struct Ask<'a> {
    /// The sketch.
    pub circuit: &'a Circuit,
    /// The meter.
    pub meter: &'a Meter,
    /// Readings, looks and repairs in order.
    pub log: &'a [Entry],
    /// How the circuit stands now.
    pub now: &'a State,
    /// Parts that cannot be reached in this job.
    pub out_of_reach: &'a BTreeSet<String>,
    /// Circuit and log, lowered.
    pub model: &'a Model,
    /// All faults.
    pub candidates: &'a [Candidate],
    /// The faults, weighed.
    pub search: &'a Search,
    /// Their probabilities.
    pub posterior: &'a Posterior,
    /// The log as it was noted, connectors of which nobody knows among it.
    pub noted: &'a [Entry],
    /// The log as each way has it in which those may have stood.
    pub ways: &'a [Vec<Entry>],
    /// The way of each hypothesis of the search.
    pub stood: &'a [usize],
}

/// Something to do before the reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Move {
    /// Part a connector.
    Unplug(String),
    /// Mate a connector.
    Plug(String),
    /// Switch the supply off and wait.
    SupplyOff,
    /// Switch the supply on.
    SupplyOn,
    /// Clip a known load on.
    ClipOn(Attached),
    /// Put the meter in series with the supply's feed.
    InSeries,
}

/// What a test asks.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Asked {
    /// A reading.
    Read {
        /// What is read.
        kind: Kind,
        /// Where the red lead goes.
        red: Point,
        /// Where the black lead goes.
        black: Point,
    },
    /// To look for members that are not drawn; the lowest outcome is “found none”.
    LookFor {
        /// The splice or supply that may feed them.
        part: String,
    },
    /// To see how a connector stands that nobody knows of; the lowest outcome is “plugged”.
    Check {
        /// The connector.
        connector: String,
    },
}

/// What a test is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// It tells of the place of the fault.
    Tells,
    /// It is on the list of the proof of a repair, or reads again what is wrong since.
    Proves,
    /// It comes before a module is replaced.
    BeforeReplacing,
}

/// One test that could be done next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Test {
    /// What it is for.
    pub purpose: Purpose,
    /// What to do first.
    pub moves: Vec<Move>,
    /// What to ask then.
    pub asked: Asked,
    /// How the circuit stands when it is asked.
    pub state: State,
    /// Minutes from how things stand now.
    pub minutes: f64,
    /// Expected information about the place of the fault, bits.
    pub bits: f64,
    /// The same per minute.
    pub bits_per_minute: f64,
    /// Expected minutes until the fault is laid open, this test included.
    pub expected_minutes: f64,
    /// What it could show and what would remain, from low to high.
    pub outcomes: Vec<Outcome>,
}

/// A place to open, in the order in which to do it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Opening {
    /// The thing.
    pub site: Site,
    /// What would be wrong with it.
    pub kind: FaultKind,
    /// Metres along a wire from its `from` end: beginning and end of the part to open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub metres: Option<(f64, f64)>,
    /// Probability that the fault is there.
    pub probability: f64,
    /// Minutes to open it.
    pub minutes: f64,
    /// Whether it was looked at before, in vain.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub again: bool,
}

/// What a list leaves out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Rest {
    /// How many.
    pub places: usize,
    /// Their probability together.
    pub probability: f64,
}

/// What is best now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Best {
    /// The first of the tests.
    Test,
    /// To open up, in the order listed: a further test costs more than it saves.
    OpenUp,
    /// To open up: nothing within reach tells the places apart.
    NothingTells,
    /// To stop: nothing seems to be wrong any more.
    Stop,
    /// Still being worked out; the findings are there already.
    Pending,
    /// Faults together are still being weighed; the findings know of single ones only.
    Searching,
    /// There is no advice: the question could not be answered.
    #[default]
    Unasked,
}

/// The advice.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Advice {
    /// What is best now.
    pub best: Best,
    /// Tests, best first.
    pub tests: Vec<Test>,
    /// Places to open, in order.
    pub opening: Vec<Opening>,
    /// Places that could have the fault and are not among those: too many, or out of reach.
    pub opening_rest: Rest,
    /// Expected minutes when one opens up now.
    pub opening_minutes: f64,
    /// Bits still open about the place of the fault.
    pub bits: f64,
}

/// Advises. Cost: hypotheses × readings within reach, a hundred or so of each weighed in full.
pub fn advise(ask: &Ask<'_>) -> Advice {
    let ways = ways(
        ask.circuit,
        ask.candidates,
        ask.search,
        ask.posterior,
        ask.model.repairs.len(),
    );
    let belief = Belief {
        weight: ways.ways.iter().map(|w| w.weight).collect(),
        place: ways.ways.iter().map(|w| w.place).collect(),
        opening: ways.opening.clone(),
    };
    let reach = reachable(ask.circuit, ask.now, ask.log, ask.out_of_reach);
    let known = Known {
        circuit: ask.circuit,
        meter: ask.meter,
        log: ask.log,
        model: ask.model,
        candidates: ask.candidates,
    };
    let seen = forecast(&known, &reach, &ways);
    let mut edges = Vec::with_capacity(seen.look.len());
    let mut sights = Vec::with_capacity(seen.look.len());
    for ((&look, mean), sd) in seen.look.iter().zip(&seen.mean).zip(&seen.sd) {
        let (likely, between) = match reach.looks[look].kind {
            Kind::Scan => seen::scan(ask.model, mean, sd),
            _ => outcomes(mean, sd, &belief.weight),
        };
        edges.push(between);
        sights.push(Sight {
            state: reach.looks[look].state,
            minutes: reach.looks[look].minutes,
            likely,
        });
    }
    let mut seen_with_eyes = hidden(ask, &ways, &mut sights);
    seen_with_eyes.extend(seen::unknown(ask, &ways, &mut sights));
    // The bench may have the supply off; every reading of volts needs it on.
    let mut from_states = reach.states.clone();
    from_states[0].supply_off = ask.now.supply_off;
    let fuel: BTreeSet<String> = hazard::fuel(ask.circuit).into_iter().collect();
    let travel = |from: usize, to: usize| {
        let (from, to) = (&from_states[from], &reach.states[to]);
        price::travel(ask.circuit, from, to) + price::caution(&fuel, from, to)
    };
    let plan = plan(&belief, &sights, &travel, 0);
    let mut list = Lister {
        reach: &reach,
        tests: Vec::new(),
    };
    for weighed in &plan.tests {
        let sight = weighed.sight;
        // To look for undrawn members is dear and seldom among the best, but nobody thinks of it unless it is said.
        let unsaid = sight >= seen.look.len() && !list.looks_for();
        if weighed.bits < WORTHWHILE || list.tests.len() >= LISTED && !unsaid {
            continue;
        }
        let (asked, state, outcomes) = match seen.look.get(sight) {
            Some(&look) => {
                let shown = Shown {
                    edges: &edges[sight],
                    likely: &sights[sight].likely,
                    mean: &seen.mean[sight],
                };
                let look = &reach.looks[look];
                if list.has(look) {
                    continue;
                }
                let state = reach.states[look.state].clone();
                (read(look), state, told(&shown, &belief, &ways))
            }
            None => {
                let shown = Shown {
                    edges: &[0.5],
                    likely: &sights[sight].likely,
                    mean: &vec![0.5; belief.weight.len()],
                };
                let asked = seen_with_eyes[sight - seen.look.len()].clone();
                let state = reach.states[0].clone();
                (asked, state, told(&shown, &belief, &ways))
            }
        };
        let kind = match asked {
            Asked::Read { kind, .. } => kind,
            Asked::LookFor { .. } | Asked::Check { .. } => Kind::Volts,
        };
        let moves = moves(ask.now, &state, kind);
        list.tests.push(Test {
            purpose: Purpose::Tells,
            moves,
            asked,
            state,
            minutes: weighed.minutes,
            bits: weighed.bits,
            bits_per_minute: weighed.bits / weighed.minutes,
            expected_minutes: weighed.total,
            outcomes,
        });
    }
    let best = best(ask, &plan, &list.tests);
    let (opening, opening_rest) = opening::list(ask, &belief, &ways);
    Advice {
        best,
        tests: list.tests,
        opening,
        opening_rest,
        opening_minutes: plan.opening,
        bits: plan.bits,
    }
}

fn best(ask: &Ask<'_>, plan: &plan::Plan, tests: &[Test]) -> Best {
    /// Probability from which nothing seems to be wrong any more.
    const SOUND: f64 = 0.95;
    if ask.posterior.healthy > SOUND {
        return Best::Stop;
    }
    match tests.first() {
        None => Best::NothingTells,
        Some(test) if test.expected_minutes < plan.opening => Best::Test,
        // Whether anything is wrong at all is asked before anything is opened.
        Some(_) if !ask.log.iter().any(|entry| entry.used().is_some()) => Best::Test,
        Some(_) => Best::OpenUp,
    }
}

fn read(look: &Look) -> Asked {
    Asked::Read {
        kind: look.kind,
        red: look.red.clone(),
        black: look.black.clone(),
    }
}

/// Adds a sight for every suspected member that is not drawn; gives what to ask for each.
fn hidden(ask: &Ask<'_>, ways: &Ways<'_>, sights: &mut Vec<Sight>) -> Vec<Asked> {
    let barred = sights::barred(ask.circuit, ask.out_of_reach);
    let mut parts: Vec<(String, f64)> = Vec::new();
    let feeds = |place: &Place, part: &str| {
        matches!(place, Place::Faults(faults)
            if faults.iter().any(|(site, undrawn, _)| *undrawn && site.part == part))
    };
    for way in &ways.ways {
        let Place::Faults(faults) = &ways.places[way.place] else {
            continue;
        };
        for (site, undrawn, _) in faults {
            if !undrawn || barred.contains(&site.part) {
                continue;
            }
            match parts.iter_mut().find(|(part, _)| *part == site.part) {
                Some((_, weight)) => *weight += way.weight,
                None => parts.push((site.part.clone(), way.weight)),
            }
        }
    }
    parts.retain(|(_, weight)| *weight > SUSPECTED);
    for (part, _) in &parts {
        let found: Vec<f64> = ways
            .ways
            .iter()
            .map(|way| {
                let table = &SIGNS.overlooked;
                if feeds(&ways.places[way.place], part) {
                    1.0 - table.undrawn
                } else {
                    table.another_member
                }
            })
            .collect();
        let mut likely: Vec<f64> = found.iter().map(|p| 1.0 - p).collect();
        likely.extend(found);
        sights.push(Sight {
            state: 0,
            minutes: price::LOOK_AROUND,
            likely,
        });
    }
    let parts = parts.into_iter();
    parts.map(|(part, _)| Asked::LookFor { part }).collect()
}

struct Lister<'a> {
    reach: &'a Reachable,
    tests: Vec<Test>,
}

impl Lister<'_> {
    /// Whether a search for undrawn members is listed already.
    fn looks_for(&self) -> bool {
        let sought = |test: &Test| matches!(test.asked, Asked::LookFor { .. });
        self.tests.iter().any(sought)
    }

    /// Whether a test of the same kind after the same moves at the same part is listed already.
    fn has(&self, look: &Look) -> bool {
        self.tests.iter().any(|test| {
            test.state == self.reach.states[look.state]
                && matches!(&test.asked, Asked::Read { kind, red, .. }
                    if *kind == look.kind && red.part == look.red.part)
        })
    }
}

/// What to do so that the circuit stands for a reading of a kind.
pub fn moves(now: &State, to: &State, kind: Kind) -> Vec<Move> {
    let mut moves = Vec::new();
    match (now.supply_off, to.supply_off) {
        (false, true) => moves.push(Move::SupplyOff),
        (true, false) => moves.push(Move::SupplyOn),
        _ => {}
    }
    let plug = now.unplugged.difference(&to.unplugged);
    moves.extend(plug.cloned().map(Move::Plug));
    let unplug = to.unplugged.difference(&now.unplugged);
    moves.extend(unplug.cloned().map(Move::Unplug));
    let clip = (to.attached.iter()).filter(|load| !now.attached.contains(load));
    moves.extend(clip.cloned().map(Move::ClipOn));
    if kind == Kind::Amperes {
        moves.push(Move::InSeries);
    }
    moves
}
