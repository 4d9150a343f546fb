//! Connectors of which nobody noted whether they were plugged: both are weighed, and neither is taken for granted.
//!
//! Each distinct state with unknown connectors has one truth that nobody knows. All ways in which they can have stood
//! are followed, each with its own search, and their weights are added: the evidence is the marginal one. Where that
//! would be too many, a reading is used with a broad allowance instead (see [`super::lower::Model`]).

use crate::{
    circuit::Circuit,
    reading::{Entry, Meter, Reading, State},
};

use super::{
    candidate::{Candidate, candidates},
    lower::Model,
    search::{Hypothesis, Search, search_in_steps, search_while, singles_while, tail},
};

/// Unknown connectors, added up over the distinct states of a log, of which every combination is followed.
pub const FOLLOWED: usize = 3;
/// Chance that a connector of which nobody knows was plugged: most are, most of the time (judgement).
const PLUGGED: f64 = 0.7;
/// Logarithm of weight below the best under which the faults together are not searched for a way it may have stood.
const UNLIKELY: f64 = 12.0;
/// Ways it may have stood for which faults together are searched at most.
const SEARCHED: usize = 3;
/// Tail probability of the best fit's misfit under which faults together are looked for.
const UNEASY: f64 = 0.05;

/// One way in which the connectors of unknown state may have stood.
#[derive(Clone, Debug)]
pub struct Way {
    /// The log with that written into it.
    pub log: Vec<Entry>,
    /// Natural logarithm of its prior probability.
    pub log_prior: f64,
}

/// All ways, the one with everything plugged first; the log as it is where nothing is unknown.
pub fn ways(log: &[Entry]) -> Vec<Way> {
    let followed = followed(log);
    let bits: usize = followed.iter().map(|state| state.unknown.len()).sum();
    (0..1usize << bits)
        .map(|choice| {
            let mut first = 0;
            let stood: Vec<(&State, State)> = followed
                .iter()
                .map(|&state| {
                    let known = resolved(state, choice >> first);
                    first += state.unknown.len();
                    (state, known)
                })
                .collect();
            let parted = choice.count_ones() as usize;
            Way {
                log: log.iter().map(|entry| with(entry, &stood)).collect(),
                log_prior: (bits - parted) as f64 * PLUGGED.ln()
                    + parted as f64 * (1.0 - PLUGGED).ln(),
            }
        })
        .collect()
}

/// Log lines with so many unknown connectors that they are used with a broad allowance.
pub fn broad(log: &[Entry]) -> Vec<usize> {
    let followed = followed(log);
    let is_broad = |entry: &Entry| {
        entry.used().is_some_and(|reading| {
            let state = &reading.state;
            !state.unknown.is_empty() && !followed.iter().any(|other| other.stands_alike(state))
        })
    };
    (0..log.len()).filter(|&i| is_broad(&log[i])).collect()
}

/// Distinct states with unknown connectors that are followed, in the order of the log.
fn followed(log: &[Entry]) -> Vec<&State> {
    let mut list: Vec<&State> = Vec::new();
    let mut bits = 0;
    for state in log
        .iter()
        .filter_map(Entry::used)
        .map(|reading| &reading.state)
    {
        let count = state.unknown.len();
        let new = count > 0 && !list.iter().any(|other| other.stands_alike(state));
        if new && bits + count <= FOLLOWED {
            bits += count;
            list.push(state);
        }
    }
    list
}

/// A state with its unknown connectors parted where the bits of `choice` say so.
fn resolved(state: &State, choice: usize) -> State {
    let mut known = state.clone();
    known.unknown.clear();
    for (bit, connector) in state.unknown.iter().enumerate() {
        if choice >> bit & 1 == 1 {
            known.unplugged.insert(connector.clone());
        }
    }
    known
}

fn with(entry: &Entry, stood: &[(&State, State)]) -> Entry {
    let Some(reading) = entry.used() else {
        return entry.clone();
    };
    match stood
        .iter()
        .find(|(state, _)| state.stands_alike(&reading.state))
    {
        None => entry.clone(),
        Some((_, known)) => Entry::Reading(Reading {
            state: State {
                key_cycled: reading.state.key_cycled,
                ..known.clone()
            },
            ..reading.clone()
        }),
    }
}

/// What was found over all ways.
#[derive(Clone, Debug)]
pub struct Found {
    /// The log as it most likely was.
    pub log: Vec<Entry>,
    /// That log, lowered.
    pub model: Model,
    /// All faults.
    pub candidates: Vec<Candidate>,
    /// Hypotheses of every way, weighed against each other.
    pub search: Search,
    /// The log as each way has it.
    pub ways: Vec<Vec<Entry>>,
    /// Which way each hypothesis belongs to.
    pub stood: Vec<usize>,
}

/// What is told of single faults while those together are still searched: the log, lowered, all faults and what was found.
pub type Early<'e> = &'e dyn Fn(&Model, &[Candidate], &Search);

/// Searches every way in which the unknown connectors may have stood, for as long as `go_on` answers yes. Where nothing is
/// unknown and the search takes long, `early` is told the single faults first.
pub fn search_ways(
    circuit: &Circuit,
    meter: &Meter,
    log: &[Entry],
    go_on: &dyn Fn() -> bool,
    early: Option<Early<'_>>,
) -> Found {
    let mut ways = ways(log);
    let lower = |way: &Way| Model::new(circuit, meter, &way.log, &[]);
    if ways.len() == 1 {
        let model = lower(&ways[0]);
        let list = candidates(circuit, &model);
        let told = |singles: &Search| {
            if let Some(early) = early {
                early(&model, &list, singles);
            }
        };
        let asked = early.map(|_| &told as &dyn Fn(&Search));
        let search = search_in_steps(&model, &list, go_on, asked);
        let log = ways.swap_remove(0).log;
        return Found {
            ways: vec![log.clone()],
            stood: vec![0; search.hypotheses.len()],
            log,
            model,
            candidates: list,
            search,
        };
    }
    let models: Vec<Model> = ways.iter().map(lower).collect();
    let list = candidates(circuit, &models[0]);
    let mut found: Vec<Search> = Vec::with_capacity(ways.len());
    for model in &models {
        found.push(if go_on() {
            singles_while(model, &list, go_on)
        } else {
            Search {
                hypotheses: Vec::new(),
                unexplained: 0.0,
            }
        });
    }
    // By the likeliest hypothesis, so that what is said of the readings is said of the way that it stands for.
    let weight = |way: usize, search: &Search| {
        let logs = search.hypotheses.iter().map(|h| h.log_weight);
        ways[way].log_prior + logs.fold(f64::NEG_INFINITY, f64::max)
    };
    let mut order: Vec<usize> = (0..ways.len()).collect();
    order.sort_by(|&a, &b| {
        weight(b, &found[b])
            .total_cmp(&weight(a, &found[a]))
            .then(a.cmp(&b))
    });
    let content = |way: usize, search: &Search| {
        let likeliest = |a: &&Hypothesis, b: &&Hypothesis| a.log_weight.total_cmp(&b.log_weight);
        (search.hypotheses.iter().max_by(likeliest)).is_some_and(|best| fits(&models[way], best))
    };
    // Faults together only where no way explains the readings with fewer, as in a search without unknowns.
    if !order.iter().any(|&way| content(way, &found[way])) {
        let most = weight(order[0], &found[order[0]]);
        for &way in order.iter().take(SEARCHED) {
            if go_on() && weight(way, &found[way]) > most - UNLIKELY {
                let more = search_while(&models[way], &list, go_on);
                found[way] = more;
            }
        }
        order.sort_by(|&a, &b| {
            weight(b, &found[b])
                .total_cmp(&weight(a, &found[a]))
                .then(a.cmp(&b))
        });
    }
    let best = order[0];
    let mut search = Search {
        hypotheses: Vec::new(),
        unexplained: found[best].unexplained,
    };
    let mut stood = Vec::new();
    for &way in &order {
        let prior = ways[way].log_prior;
        stood.extend(std::iter::repeat_n(way, found[way].hypotheses.len()));
        search
            .hypotheses
            .extend(found[way].hypotheses.drain(..).map(|mut one| {
                one.log_weight += prior;
                one
            }));
    }
    let mut models = models;
    Found {
        log: ways[best].log.clone(),
        model: models.swap_remove(best),
        candidates: list,
        search,
        ways: ways.into_iter().map(|way| way.log).collect(),
        stood,
    }
}

/// Whether a hypothesis explains every reading well.
fn fits(model: &Model, best: &Hypothesis) -> bool {
    let over = model.measured.iter().filter(|m| m.over).count();
    let fit = &best.robust.best;
    model.measured.len() - fit.used.len() <= over && tail(fit) >= UNEASY
}
