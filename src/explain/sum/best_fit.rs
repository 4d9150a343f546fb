//! A suspect at its best fit: which faults come with it, how large they are, and how far each part is off its nominal
//! value.

use crate::{
    diagnosis::{Findings, Question, Suspect},
    explain::names,
    fault::{FaultKind, Site},
    infer::{
        candidate::{Candidate, candidates},
        lower::{Model, Role},
        predict::{Prediction, STARVED_SPREAD},
        solve::{Effect, Fault},
        weigh::{Fitted, SizePrior, Weigher},
    },
    network::Port,
};

/// Probability of a mistake from which a reading has no say in the fit (judgement).
const MISTAKEN: f64 = 0.5;
/// Starts of a fit whose size nobody estimated, in standard deviations of the prior.
const STARTS: [f64; 3] = [-1.2, 0.0, 1.2];
/// Ways of placing the faults that are tried, and the natural logarithm by which a fit may resize them.
const MOST_SETS: usize = 8;
const MOST_RESIZED: f64 = 3.0;
/// Standard deviations by which a part is moved off its nominal value at most.
const MOST_MOVED: f64 = 3.0;

/// Faults at their best fit.
pub struct BestFit {
    /// The faults, the suspect's own first, those that repairs have mended last.
    pub set: Vec<Named>,
    /// Their sizes, and the deviations of the supplies.
    pub fitted: Fitted,
}

/// A fault of the search with everything that a fit needs.
#[derive(Clone)]
pub struct Named {
    /// The thing.
    pub site: Site,
    /// What is wrong with it.
    pub kind: FaultKind,
    fault: Fault,
    size: Option<SizePrior>,
    /// Element of the wire on which it sits, and the fraction of it.
    along: Option<(usize, f64)>,
}

impl BestFit {
    /// Fits a suspect with the faults that come with it, and moves the model's parts to where the fit has them.
    ///
    /// `None` where the suspect is not on the sketch or no density can be computed.
    pub fn of(
        question: &Question<'_>,
        findings: &Findings,
        model: &mut Model,
        suspect: usize,
    ) -> Option<Self> {
        let list = candidates(question.circuit, model);
        let wanted = together(findings, suspect)?;
        let mut sets: Vec<Vec<Named>> = vec![Vec::new()];
        for (site, kind) in &wanted {
            let known = findings
                .suspects
                .iter()
                .find(|s| s.site == *site && s.kind == *kind);
            // A pin can touch ground on either side; whichever fits better is meant.
            let options = options(model, &list, (site, *kind), known);
            sets = sets
                .iter()
                .flat_map(|set| {
                    options
                        .iter()
                        .map(|option| set.iter().chain([option]).cloned().collect())
                })
                .take(MOST_SETS)
                .collect();
        }
        let used = trusted(model, findings);
        let mut best = sets
            .into_iter()
            .filter_map(|set| fit(model, &used, set))
            .max_by(|a, b| a.fitted.log_evidence.total_cmp(&b.fitted.log_evidence))?;
        for repair in 0..model.repairs.len() {
            if let Some(better) = mended(model, &used, &list, &best, repair) {
                best = better;
            }
        }
        let shifts = shifts(model, &best.fitted);
        adjust(model, &shifts);
        for (named, fault) in best.set.iter().zip(&mut best.fitted.faults) {
            named.place(model, fault);
        }
        Some(best)
    }
}

impl Named {
    /// Fraction of the wire at which it sits, from the wire's `from` end.
    pub fn fraction(&self) -> Option<f64> {
        self.along.map(|(_, x)| x)
    }

    /// Puts the fault where it is along its wire, as the wire now is.
    fn place(&self, model: &Model, fault: &mut Fault) {
        if let Some((row, x)) = self.along {
            let element = &model.elements[row];
            fault.effect = Effect::Shunt {
                port: Port::along(element.a, element.b, x, model.pattern.nodes),
                inner: x * (1.0 - x) / element.siemens,
            };
        }
    }
}

/// The faults that come with a suspect: the likeliest combination that has it, itself first.
fn together(findings: &Findings, suspect: usize) -> Option<Vec<(Site, FaultKind)>> {
    let Suspect { site, kind, .. } = findings.suspects.get(suspect)?;
    let own = (site.clone(), *kind);
    let with = findings
        .combinations
        .iter()
        .find(|combination| combination.faults.contains(&own));
    let mut all = vec![own.clone()];
    if let Some(with) = with {
        all.extend(with.faults.iter().filter(|fault| **fault != own).cloned());
    }
    Some(all)
}

/// The candidates that a site and kind can mean now, at the place where the findings put it.
fn options(
    model: &Model,
    list: &[Candidate],
    (site, kind): (&Site, FaultKind),
    known: Option<&Suspect>,
) -> Vec<Named> {
    let now = model.repairs.len();
    let start = known.and_then(|suspect| suspect.resistance);
    // Ohms that are told by their middle are the ones to reckon with: two figures for one fault would confuse.
    let told = start.is_some_and(names::is_known);
    let mut found: Vec<Named> = Vec::new();
    for candidate in list {
        let mut fault = candidate.fault(0.0);
        if candidate.site != *site || candidate.kind != kind || !fault.present(now) {
            continue;
        }
        fault.log_size = match (start, candidate.size) {
            (Some(ohms), _) if ohms.median > 0.0 => ohms.median.ln(),
            (_, Some((mean, _))) => mean,
            _ => 0.0,
        };
        let mut along = None;
        if let Some((wire, _)) = candidate.stretch {
            let x = known
                .and_then(|suspect| suspect.position.as_ref())
                .map_or(0.5, |at| at.metres.median / at.length.max(1e-6))
                .clamp(0.0, 1.0);
            let row = model
                .elements
                .iter()
                .position(|e| e.role == Role::Wire(wire));
            along = row.map(|row| (row, x));
        }
        let mut named = Named {
            site: site.clone(),
            kind,
            fault,
            size: candidate.size.filter(|_| !told),
            along,
        };
        named.place(model, &mut fault);
        named.fault = fault;
        if !found.iter().any(|other| other.fault.effect == fault.effect) {
            found.push(named);
        }
    }
    found
}

/// Readings that have a say.
fn trusted(model: &Model, findings: &Findings) -> Vec<usize> {
    (0..model.measured.len())
        .filter(|&m| {
            findings
                .readings
                .iter()
                .find(|finding| finding.entry == model.measured[m].entry)
                .is_some_and(|finding| finding.mistaken <= MISTAKEN)
        })
        .collect()
}

/// Fits a set of faults from where they are said to be.
fn fit(model: &Model, used: &[usize], set: Vec<Named>) -> Option<BestFit> {
    let mut weigher = Weigher::new(model);
    let idle = vec![[0.0; 4]; model.sources.len()];
    let faults: Vec<Fault> = set.iter().map(|named| named.fault).collect();
    let free: Vec<Option<SizePrior>> = set.iter().map(|named| named.size).collect();
    let fixed = vec![None; set.len()];
    let near = |fitted: &Fitted| {
        fitted.faults.iter().zip(&faults).all(|(now, before)| {
            now.log_size.is_finite() && (now.log_size - before.log_size).abs() < MOST_RESIZED
        })
    };
    let folds = model.sources.iter().any(|s| s.limit > s.short_circuit);
    let mut best: Option<Fitted> = None;
    // A supply that folds back can rest in two ways.
    for low in [false, true].into_iter().take(1 + usize::from(folds)) {
        weigher.predictor.bench.low = low;
        let fitted = weigher
            .fit(&faults, &free, used, &idle)
            .filter(|fitted| fitted.log_evidence.is_finite() && near(fitted))
            .or_else(|| weigher.fit(&faults, &fixed, used, &idle));
        let most = best.as_ref().map_or(f64::NEG_INFINITY, |b| b.log_evidence);
        best = fitted.filter(|f| f.log_evidence > most).or(best);
    }
    let fitted = best?;
    Some(BestFit { set, fitted })
}

/// The fault that a repair mended, where one explains the readings before it better than none.
fn mended(
    model: &Model,
    used: &[usize],
    list: &[Candidate],
    known: &BestFit,
    repair: usize,
) -> Option<BestFit> {
    let mut best: Option<BestFit> = None;
    for candidate in list.iter().filter(|c| c.life == (0, repair)) {
        let sizes = candidate.size.map_or_else(
            || vec![0.0],
            |(mean, sd)| STARTS.iter().map(|z| mean + z * sd).collect(),
        );
        for size in sizes {
            let mut set = known.set.clone();
            for (named, fault) in set.iter_mut().zip(&known.fitted.faults) {
                named.fault.log_size = fault.log_size;
            }
            set.push(Named {
                site: candidate.site.clone(),
                kind: candidate.kind,
                fault: candidate.fault(size),
                size: candidate.size,
                along: None,
            });
            let most = best.as_ref().unwrap_or(known).fitted.log_evidence;
            best = fit(model, used, set)
                .filter(|now| now.fitted.log_evidence > most)
                .or(best);
        }
    }
    best
}

/// How far the fit moves each element off its nominal value, in standard deviations.
fn shifts(model: &Model, fitted: &Fitted) -> Vec<f64> {
    let mut weigher = Weigher::new(model);
    weigher.predictor.bench.low = fitted.low;
    let mut prediction = Prediction::default();
    weigher
        .predictor
        .predict(&fitted.faults, &fitted.deviations, true, &mut prediction);
    let mut shifts = vec![0.0; model.elements.len()];
    for part in weigher.predictor.shares(&prediction) {
        let moved: f64 = fitted
            .used
            .iter()
            .zip(&fitted.pull)
            .map(|(&m, pull)| prediction.leans(m)[part.row] * pull)
            .sum();
        shifts[part.element] = (part.share * moved).clamp(-MOST_MOVED, MOST_MOVED);
    }
    shifts
}

/// Moves every element of a model off its nominal value.
fn adjust(model: &mut Model, shifts: &[f64]) {
    let mut spreads: Vec<f64> = model.elements.iter().map(|e| e.spread).collect();
    for load in &mut model.electronic {
        load.draw *= (spreads[load.element] * shifts[load.element]).exp();
        // Its conductance matters below the knee only, where its draw is hardly known.
        spreads[load.element] = STARVED_SPREAD;
    }
    for (index, (shift, spread)) in shifts.iter().zip(spreads).enumerate() {
        let factor = (spread * shift).exp();
        model.elements[index].siemens *= factor;
        for stand in &mut model.stands {
            stand.siemens[index] *= factor;
        }
    }
}
