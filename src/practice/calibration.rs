//! Whether the answers are as sure as they should be: jobs from the simulated vehicle, their answers, and how often the
//! truth lies where it was said to lie.
//!
//! Faults are drawn by the program's own prior table, parts by the spreads of the sketch; everything is solved by the
//! simulator. A right engine covers as often as it says, up to the luck of so many jobs.

use super::{Dice, Drill, Hidden, Level, World};
use crate::{
    circuit::{Circuit, FeedTree, Point, Terminal, tree::Side},
    diagnosis::{Findings, Question, diagnose},
    fault::{FaultKind, PRIORS, Site},
    reading::{Entry, Kind, Meter, Reading, State},
};

/// Shares of probability whose sets are looked at.
pub const LEVELS: [f64; 4] = [0.5, 0.8, 0.9, 0.95];
/// Parts of a wire that are told apart.
const PARTS: usize = 10;
/// Least probability that a log score is taken of.
const LEAST: f64 = 1e-6;

/// How well a number of answers did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// Jobs.
    pub jobs: usize,
    /// Jobs whose true place lay in the set of each of [`LEVELS`].
    pub covered: [usize; 4],
    /// Jobs whose answer gave ohms for the true suspect, and those whose 90 % interval held the true ohms.
    pub ohms: (usize, usize),
    /// Sum of log2 of the probability of the true place.
    pub log2: f64,
    /// Sum of the metres of wire in the 90 % sets.
    pub metres: f64,
    /// Sum of the places in the 90 % sets.
    pub places: usize,
    /// Metres of feed wire in all circuits.
    pub drawn_metres: f64,
    /// Jobs whose likeliest suspect was the true one.
    pub top: usize,
}

/// One job with its truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Simulated {
    /// The sketch.
    pub circuit: Circuit,
    /// What is wrong.
    pub truth: Hidden,
    /// Six readings.
    pub log: Vec<Entry>,
}

/// Draws a job; none for the few seeds whose fault shows in no reading that could be taken.
pub fn simulate(seed: u64) -> Option<Simulated> {
    let mut dice = Dice::new(seed).fork("calibration");
    let level = Level::ALL[dice.below(3)];
    let circuit = Drill::WrongReading.exercise(level, seed).circuit;
    let truth = fault(&circuit, &mut dice)?;
    let meter = Meter::default();
    let mut world =
        World::draw(&circuit, std::slice::from_ref(&truth), &meter, dice.bits()).ok()?;
    let connectors = &circuit.connectors;
    let feed = Point::new(&circuit.supplies.first()?.id, Terminal::Feed(1));
    let mut looks = vec![(feed.clone(), State::default())];
    for _ in 0..2 {
        let off = connectors.get(dice.below(connectors.len()))?.id.clone();
        looks.push((
            feed.clone(),
            State {
                unplugged: [off].into(),
                ..State::default()
            },
        ));
    }
    for _ in 0..3 {
        let at = connectors.get(dice.below(connectors.len()))?;
        looks.push((Point::new(&at.id, Terminal::Near(1)), State::default()));
    }
    let black = Point::battery_negative();
    let log = (looks.into_iter())
        .filter_map(|(red, state)| {
            let value = world.measure(Kind::Volts, &red, &black, &state).ok()?;
            Some(Entry::Reading(Reading {
                value,
                state,
                ..Reading::volts(red, 0.0)
            }))
        })
        .collect();
    Some(Simulated {
        circuit,
        truth,
        log,
    })
}

/// A fault by the prior table: shorts and opens of feed wires, bad pins, sensors that draw too much.
fn fault(circuit: &Circuit, dice: &mut Dice) -> Option<Hidden> {
    let reached = FeedTree::walk(circuit, Side::Feed);
    let on_feed = |id: &str| reached.parts().contains(id);
    let mut choices: Vec<(f64, Site, FaultKind)> = Vec::new();
    for wire in circuit.wires.iter().filter(|wire| on_feed(&wire.id)) {
        let short = PRIORS.short_per_wire + PRIORS.short_per_metre * wire.length_or_assumed();
        let site = Site::part(&wire.id);
        choices.push((short, site.clone(), FaultKind::ShortToGround));
        choices.push((PRIORS.open_per_wire, site.clone(), FaultKind::Open));
        choices.push((
            PRIORS.high_resistance_per_wire,
            site,
            FaultKind::HighResistance,
        ));
    }
    for connector in circuit.connectors.iter().filter(|c| on_feed(&c.id)) {
        let site = Site::pin(&connector.id, 1);
        choices.push((PRIORS.open_per_pin, site.clone(), FaultKind::Open));
        choices.push((
            PRIORS.high_resistance_per_pin,
            site,
            FaultKind::HighResistance,
        ));
    }
    for load in &circuit.loads {
        choices.push((
            PRIORS.short_in_load,
            Site::part(&load.id),
            FaultKind::DrawsTooMuch,
        ));
    }
    let weights: Vec<f64> = choices.iter().map(|choice| choice.0).collect();
    let (_, site, kind) = choices.swap_remove(dice.weighted(&weights)?);
    let (median, decades) = match kind {
        FaultKind::HighResistance => PRIORS.series_ohm,
        _ => PRIORS.short_ohm,
    };
    let size = median * 10f64.powf(decades * dice.normal());
    Some(Hidden::new(site, kind, size.clamp(1e-3, 1e6)).at(dice.between(0.0, 1.0)))
}

struct Cell {
    site: Site,
    kind: FaultKind,
    part: Option<usize>,
    probability: f64,
    metres: f64,
}

impl Table {
    /// Answers the jobs of a range of seeds.
    pub fn of(seeds: std::ops::Range<u64>) -> Self {
        let mut table = Self::default();
        for job in seeds.filter_map(simulate) {
            table.add(&job);
        }
        table
    }

    /// Share of the jobs whose true place lay in the set of a level.
    pub fn coverage(&self, level: usize) -> f64 {
        self.covered[level] as f64 / self.jobs.max(1) as f64
    }

    /// Answers one job.
    pub fn add(&mut self, job: &Simulated) {
        let meter = Meter::default();
        let findings = diagnose(&Question {
            circuit: &job.circuit,
            meter: &meter,
            log: &job.log,
            now: &State::default(),
            out_of_reach: &super::EVERYTHING_IN_REACH,
        });
        let mut cells = cells(&job.circuit, &findings);
        cells.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        let total: f64 = cells.iter().map(|cell| cell.probability).sum();
        let is_true = |cell: &Cell| {
            let part = ((job.truth.at * PARTS as f64) as usize).min(PARTS - 1);
            cell.site == job.truth.site
                && cell.kind == job.truth.kind
                && cell.part.is_none_or(|own| own == part)
        };
        self.jobs += 1;
        self.drawn_metres += job
            .circuit
            .wires
            .iter()
            .map(|w| w.length_or_assumed())
            .sum::<f64>();
        for (index, level) in LEVELS.into_iter().enumerate() {
            let mut sum = 0.0;
            let set = cells.iter().take_while(|cell| {
                let open = sum < level * total;
                sum += cell.probability;
                open
            });
            let (mut inside, mut metres, mut places) = (false, 0.0, 0);
            for cell in set {
                inside |= is_true(cell);
                metres += cell.metres;
                places += 1;
            }
            self.covered[index] += usize::from(inside);
            if level == 0.9 {
                self.metres += metres;
                self.places += places;
            }
        }
        let right = cells
            .iter()
            .filter(|cell| is_true(cell))
            .map(|cell| cell.probability);
        self.log2 += (right.sum::<f64>() / total.max(LEAST)).max(LEAST).log2();
        let own = |suspect: &&crate::diagnosis::Suspect| {
            suspect.site == job.truth.site && suspect.kind == job.truth.kind
        };
        self.top += usize::from(findings.suspects.first().is_some_and(|first| own(&first)));
        if let Some(ohms) = findings
            .suspects
            .iter()
            .find(own)
            .and_then(|s| s.resistance)
        {
            self.ohms.0 += 1;
            self.ohms.1 += usize::from((ohms.low..=ohms.high).contains(&job.truth.size));
        }
    }
}

/// Places with their probability: tenths of wires for shorts along them, whole things for everything else.
fn cells(circuit: &Circuit, findings: &Findings) -> Vec<Cell> {
    let mut cells = Vec::new();
    for suspect in &findings.suspects {
        let density = (findings.densities.iter())
            .find(|d| d.wire == suspect.site.part)
            .filter(|_| suspect.kind == FaultKind::ShortToGround);
        let wire = circuit.wire(&suspect.site.part);
        let length = wire.map_or(0.0, |wire| wire.length_or_assumed());
        let mut push = |part, probability, metres| {
            cells.push(Cell {
                site: suspect.site.clone(),
                kind: suspect.kind,
                part,
                probability,
                metres,
            });
        };
        match density {
            Some(density) => {
                let fine = density.cells.len();
                let mut tenths = [0.0; PARTS];
                for (index, mass) in density.cells.iter().enumerate() {
                    tenths[(index * PARTS / fine).min(PARTS - 1)] += mass;
                }
                for (part, mass) in tenths.into_iter().enumerate() {
                    push(Some(part), mass, length / PARTS as f64);
                }
            }
            None => push(None, suspect.probability, 0.0),
        }
    }
    cells
}
