//! What each reading would show in each way that things may be: mean and standard deviation, given the log.

use std::collections::BTreeSet;

use super::{
    sights::{Look, Reachable},
    ways::{Root, Ways},
};
use crate::{
    circuit::Circuit,
    infer::{
        candidate::Candidate,
        gauss::normal_cdf,
        lower::Model,
        predict::Prediction,
        solve::Fault,
        weigh::{Fitted, SizePrior, Weigher},
    },
    reading::{Entry, Kind, Meter, Reading, Seen, Value, meter::MOST_OHM},
};

/// Readings that are weighed in full; the others are put aside by what they would tell at best.
const WEIGHED: usize = 140;
/// Roots by which readings that show the same are told.
const ALIKE: usize = 24;
/// Outcomes that are told apart.
const OUTCOMES: usize = 20;
/// Volts that a look at the scan hardly tells apart.
const COARSE: f64 = 0.5;
/// Chance that the reading goes wrong, so that no outcome is impossible.
const WRONG: f64 = 0.03;

/// Forecasts of readings: one row a look, one column a way.
#[derive(Clone, Debug, Default)]
pub struct Forecast {
    /// Index into the looks that were asked about.
    pub look: Vec<usize>,
    /// Expected value under each way.
    pub mean: Vec<Vec<f64>>,
    /// Standard deviation with the display's own.
    pub sd: Vec<Vec<f64>>,
}

/// What a forecast starts from.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The sketch.
    pub circuit: &'a Circuit,
    /// The meter.
    pub meter: &'a Meter,
    /// The log.
    pub log: &'a [Entry],
    /// The log, lowered.
    pub model: &'a Model,
    /// All faults.
    pub candidates: &'a [Candidate],
}

/// Forecasts the looks that could tell most.
pub fn forecast(known: &Known<'_>, reachable: &Reachable, ways: &Ways<'_>) -> Forecast {
    let all: Vec<usize> = (0..reachable.looks.len()).collect();
    let wide = known.wide(reachable, &all, &[]);
    let seats = seats(&wide, known.log.len(), all.len());
    let rough = rough(known, &wide, ways);
    let mut told: Vec<(f64, usize)> = all
        .iter()
        .filter_map(|&look| {
            let seat = seats[look]?;
            let means: Vec<f64> = rough.iter().map(|row| row[seat]).collect();
            let kind = reachable.looks[look].kind;
            let rate = spread(&means, ways, &|value| display(known.meter, kind, value))
                / (reachable.looks[look].minutes
                    + super::price::travel(
                        known.circuit,
                        &reachable.states[0],
                        &reachable.states[reachable.looks[look].state],
                    ))
                .max(super::plan::LEAST_MINUTES);
            Some((rate, look))
        })
        .collect();
    told.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut picked = distinct(known, reachable, &rough, &seats, &told);
    picked.sort_unstable();
    let likely = ways.ways.iter().map(|w| (w.weight, w.root));
    let top = likely
        .fold((0.0, 0), |a, b| if b.0 > a.0 { b } else { a })
        .1;
    let guesses: Vec<f64> = picked
        .iter()
        .map(|&look| seats[look].map_or(0.0, |seat| rough[top][seat]))
        .collect();
    full(known, reachable, ways, &picked, &guesses)
}

/// The looks that could tell most, without those in the same state that show the same as a cheaper one under
/// every likely fault: the other half of a pin that is not suspected, the end of a branch that carries nothing.
fn distinct(
    known: &Known<'_>,
    reachable: &Reachable,
    rough: &[Vec<f64>],
    seats: &[Option<usize>],
    told: &[(f64, usize)],
) -> Vec<usize> {
    let mut seen: BTreeSet<(usize, u8, Vec<i64>)> = BTreeSet::new();
    let mut picked = Vec::with_capacity(WEIGHED);
    for &(_, look) in told {
        let Some(seat) = seats[look] else { continue };
        let one = &reachable.looks[look];
        let width = |value| (2.0 * display(known.meter, one.kind, value)).max(1e-9);
        let shown: Vec<i64> = (rough.iter().take(ALIKE))
            .map(|row| (row[seat] / width(row[seat])).round() as i64)
            .collect();
        let kind = match one.kind {
            Kind::Volts => 0,
            Kind::Ohms | Kind::Amperes => 1,
            Kind::Clamp => 2,
            Kind::Lamp(_) | Kind::Scan => 3,
        };
        if seen.insert((one.state, kind, shown)) {
            picked.push(look);
            if picked.len() == WEIGHED {
                break;
            }
        }
    }
    picked
}

impl Known<'_> {
    /// The model with the looks as further readings, of which the values are guesses that choose the meter's range.
    fn wide(&self, reachable: &Reachable, looks: &[usize], guesses: &[f64]) -> Model {
        let mut log = self.log.to_vec();
        log.extend(looks.iter().enumerate().map(|(i, &look)| {
            let look: &Look = &reachable.looks[look];
            Entry::Reading(Reading {
                kind: look.kind,
                black: look.black.clone(),
                value: match look.kind {
                    Kind::Scan => Value::Seen(Seen::Silent),
                    _ => Value::Exactly(
                        guesses
                            .get(i)
                            .copied()
                            .unwrap_or(0.0)
                            .clamp(-MOST_OHM, MOST_OHM),
                    ),
                },
                state: reachable.states[look.state].clone(),
                ..Reading::volts(look.red.clone(), 0.0)
            })
        }));
        Model::new(self.circuit, self.meter, &log, &[])
    }
}

/// Index among the measurements of each look; `None` where the model could not use it.
fn seats(wide: &Model, before: usize, looks: usize) -> Vec<Option<usize>> {
    let mut seats = vec![None; looks];
    for (seat, measured) in wide.measured.iter().enumerate() {
        if measured.entry >= before {
            seats[measured.entry - before] = Some(seat);
        }
    }
    seats
}

/// A root's fit: the hypothesis' own, or a new one with the size held.
fn fit_of(
    known: &Known<'_>,
    narrow: &mut Weigher<'_>,
    root: &Root<'_>,
) -> Option<(Fitted, Vec<Option<SizePrior>>)> {
    let hypothesis = root.hypothesis?;
    let best = &hypothesis.robust.best;
    let free: Vec<Option<SizePrior>> = hypothesis
        .faults
        .iter()
        .map(|&f| known.candidates[f].size)
        .collect();
    match root.held {
        None => Some((best.clone(), free)),
        Some(at) => {
            let mut faults = best.faults.clone();
            faults[0].log_size = at;
            narrow.predictor.bench.low = best.low;
            let fitted = narrow.fit(&faults, &[None], &best.used, &best.deviations)?;
            Some((fitted, vec![None]))
        }
    }
}

/// Values of all measurements under each root at its fit, without spreads.
fn rough(known: &Known<'_>, wide: &Model, ways: &Ways<'_>) -> Vec<Vec<f64>> {
    let mut weigher = Weigher::new(wide);
    let mut prediction = Prediction::default();
    ways.roots
        .iter()
        .map(|root| {
            let Some(hypothesis) = root.hypothesis else {
                return vec![0.5 * known.model.most_volts; wide.measured.len()];
            };
            let best = &hypothesis.robust.best;
            let mut faults: Vec<Fault> = best.faults.clone();
            if let Some(at) = root.held {
                faults[0].log_size = at;
            }
            weigher.predictor.bench.low = best.low;
            weigher
                .predictor
                .values(&faults, &best.deviations, &mut prediction);
            prediction.value.clone()
        })
        .collect()
}

/// Standard deviation of what is shown of a value, roughly.
fn display(meter: &Meter, kind: Kind, value: f64) -> f64 {
    let clamp = &meter.clamp;
    match kind {
        Kind::Clamp => (clamp.percent / 100.0 * value).hypot(clamp.zero_a) / 3f64.sqrt(),
        Kind::Scan => COARSE * meter.sd(value).max(1.0),
        Kind::Volts | Kind::Ohms | Kind::Amperes | Kind::Lamp(_) => meter.sd(value),
    }
}

/// Bits that a reading could tell of the roots if nothing but the display limited it, roughly.
fn spread(means: &[f64], ways: &Ways<'_>, display: &dyn Fn(f64) -> f64) -> f64 {
    let mut weight = vec![0.0; means.len()];
    for way in &ways.ways {
        weight[way.root] += way.weight;
    }
    let mut order: Vec<usize> = (0..means.len()).collect();
    order.sort_by(|&a, &b| means[a].total_cmp(&means[b]));
    let mut bits = 0.0;
    let (mut mass, mut last) = (0.0, f64::NEG_INFINITY);
    let mut close = |mass: f64| {
        if mass > 0.0 {
            bits -= mass * mass.log2();
        }
    };
    for i in order {
        let width = 2.0 * display(means[i]) + 0.002 * means[i].abs();
        if means[i] - last > width {
            close(mass);
            mass = 0.0;
        }
        mass += weight[i];
        last = means[i];
    }
    close(mass);
    bits
}

fn full(
    known: &Known<'_>,
    reachable: &Reachable,
    ways: &Ways<'_>,
    picked: &[usize],
    guesses: &[f64],
) -> Forecast {
    let wide = known.wide(reachable, picked, guesses);
    let seats = seats(&wide, known.log.len(), picked.len());
    let mut narrow = Weigher::new(known.model);
    let mut weigher = Weigher::new(&wide);
    let columns = ways.ways.len();
    let mut out = Forecast {
        look: picked.to_vec(),
        mean: vec![vec![0.0; columns]; picked.len()],
        sd: vec![vec![1.0; columns]; picked.len()],
    };
    for (number, root) in ways.roots.iter().enumerate() {
        let own: Vec<usize> = (0..columns)
            .filter(|&w| ways.ways[w].root == number)
            .collect();
        if own.is_empty() {
            continue;
        }
        let Some((fitted, free)) = fit_of(known, &mut narrow, root) else {
            // Nothing on the sketch explains it: anything can show.
            for (row, &look) in picked.iter().enumerate() {
                let guess = guesses[row].abs();
                let most = known.model.most_volts;
                let volts = reachable.looks[look].kind == Kind::Volts;
                let scale = if volts { most } else { 3.0 * guess + 1e-3 };
                for &w in &own {
                    out.mean[row][w] = 0.5 * scale;
                    out.sd[row][w] = 0.5 * scale;
                }
            }
            continue;
        };
        weigher.predictor.bench.low = fitted.low;
        let moves = own.iter().any(|&w| ways.ways[w].off != 0.0);
        let direct = moves
            .then(|| direct(known, &mut weigher, root, &fitted))
            .flatten();
        let ahead = weigher.ahead(&fitted, &free, direct.as_deref());
        for (row, seat) in seats.iter().enumerate() {
            let Some(seat) = *seat else { continue };
            let a = ahead[seat];
            for &w in &own {
                let mean = a.mean + a.slope * ways.ways[w].off;
                let display = wide.measured[seat].sd;
                out.mean[row][w] = mean.clamp(-MOST_OHM, MOST_OHM);
                out.sd[row][w] = a.sd.hypot(display).hypot(1e-4 * mean).min(MOST_OHM);
            }
        }
    }
    out
}

/// Change of every measurement per unit along the wire of a root's only fault, all else fixed.
fn direct(
    known: &Known<'_>,
    weigher: &mut Weigher<'_>,
    root: &Root<'_>,
    fitted: &Fitted,
) -> Option<Vec<f64>> {
    let [index] = root.hypothesis?.faults[..] else {
        return None;
    };
    let candidate = &known.candidates[index];
    let (low, high) = candidate.ends()?;
    let mut ends: [Prediction; 2] = Default::default();
    for (end, x) in ends.iter_mut().zip([low, high]) {
        let mut faults = fitted.faults.clone();
        faults[0].effect = candidate.at(weigher.model(), x);
        weigher.predictor.values(&faults, &fitted.deviations, end);
    }
    Some(
        ends[1]
            .value
            .iter()
            .zip(&ends[0].value)
            .map(|(b, a)| (b - a) / (high - low))
            .collect(),
    )
}

/// Outcomes of one look as a table of probabilities, outcome by way, and the edges between the outcomes.
pub fn outcomes(mean: &[f64], sd: &[f64], weight: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let edges = edges(mean, sd, weight);
    let ways = mean.len();
    let rows = edges.len() + 1;
    let mut likely = vec![0.0; rows * ways];
    for w in 0..ways {
        // Only the outcomes within a few standard deviations have any share.
        let reach = 6.0 * sd[w];
        let first = edges.partition_point(|edge| *edge < mean[w] - reach);
        let mut below = 0.0;
        for row in first..rows {
            let upto = edges
                .get(row)
                .filter(|edge| **edge < mean[w] + reach)
                .map_or(1.0, |edge| normal_cdf((edge - mean[w]) / sd[w]));
            likely[row * ways + w] = (upto - below).max(0.0);
            below = upto;
            if upto == 1.0 {
                break;
            }
        }
    }
    // What a reading gone wrong shows: anything that any way would show.
    for row in likely.chunks_exact_mut(ways.max(1)) {
        let any: f64 = row.iter().zip(weight).map(|(l, w)| l * w).sum();
        for entry in row {
            *entry = (1.0 - WRONG) * *entry + WRONG * any;
        }
    }
    (likely, edges)
}

/// Edges between outcomes of about equal probability.
fn edges(mean: &[f64], sd: &[f64], weight: &[f64]) -> Vec<f64> {
    const MARKS: [f64; 5] = [-1.6, -0.7, 0.0, 0.7, 1.6];
    let mut marks: Vec<(f64, f64)> = Vec::with_capacity(5 * mean.len());
    for ((m, s), w) in mean.iter().zip(sd).zip(weight) {
        marks.extend(MARKS.iter().map(|z| (m + z * s, w / 5.0)));
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = marks.iter().map(|m| m.1).sum();
    let mut edges = Vec::with_capacity(OUTCOMES - 1);
    let mut sum = 0.0;
    let mut next = 1;
    for pair in marks.windows(2) {
        sum += pair[0].1;
        let due = total * next as f64 / OUTCOMES as f64;
        if sum >= due && pair[1].0 > pair[0].0 {
            edges.push(0.5 * (pair[0].0 + pair[1].0));
            while sum >= total * next as f64 / OUTCOMES as f64 {
                next += 1;
            }
        }
    }
    edges
}
