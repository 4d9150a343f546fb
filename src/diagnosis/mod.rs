//! The one data path: circuit and readings in, findings out. Pure: same input, same answer, to the bit.

pub mod alike;
mod contradict;
pub mod findings;
mod hinge;
mod long;
mod mistake;
pub mod module;
pub mod problems;
pub mod proof;
mod prove;
mod rank;
pub mod supply;
mod tell;

pub use findings::*;
pub use long::MOST_WEIGHED;
pub use proof::Proof;
pub use supply::SupplyFinding;

use self::{
    rank::{named, rank},
    tell::{combinations, densities, fit, predicted, readings, resistance, suspects},
};
use crate::{
    advise::{Advice, Ask, Best, advise},
    circuit::{Circuit, Point},
    infer::{
        candidate::Candidate,
        lower::Model,
        posterior::{Marginal, Posterior, posterior},
        search::{Hypothesis, Search},
        unknown::{Early, Found, search_ways},
        weigh::{SizePrior, Weigher},
    },
    reading::{Entry, Kind, Reading, State},
};

/// Answers a question. Never fails: what stands in the way is named in `problems`.
pub fn diagnose(question: &Question<'_>) -> Findings {
    diagnose_while(question, &|| true)
}

/// Answers a question for as long as `go_on` answers yes; what comes out after a no is no answer.
pub fn diagnose_while(question: &Question<'_>, go_on: &dyn Fn() -> bool) -> Findings {
    answered(question, go_on, None)
}

/// The same; `early` is given the findings as soon as they are there, while the next test is still being worked out, and where
/// faults together take long to weigh, what single faults explain before that.
pub fn diagnose_in_steps(
    question: &Question<'_>,
    go_on: &dyn Fn() -> bool,
    early: &dyn Fn(&Findings),
) -> Findings {
    answered(question, go_on, Some(early))
}

fn answered(
    question: &Question<'_>,
    go_on: &dyn Fn() -> bool,
    early: Option<&dyn Fn(&Findings)>,
) -> Findings {
    let (mut findings, basis) = found(question, go_on, early);
    if let Some(basis) = basis.filter(|_| go_on()) {
        if let Some(early) = early {
            findings.next.best = Best::Pending;
            early(&findings);
        }
        findings.next = basis.advice(question);
        prove::first(question, &mut findings);
    }
    findings
}

/// What findings rest on, for the advice that follows them.
#[derive(Clone, Debug)]
pub struct Basis {
    /// The log as it most likely was.
    log: Vec<Entry>,
    model: Model,
    candidates: Vec<Candidate>,
    search: Search,
    posterior: Posterior,
    /// The log as each way has it in which unknown connectors may have stood, and the way of each hypothesis.
    ways: Vec<Vec<Entry>>,
    stood: Vec<usize>,
}

impl Basis {
    /// What to do next.
    pub fn advice(&self, question: &Question<'_>) -> Advice {
        let mut advice = advise(&Ask {
            circuit: question.circuit,
            meter: question.meter,
            log: &self.log,
            now: question.now,
            out_of_reach: question.out_of_reach,
            model: &self.model,
            candidates: &self.candidates,
            search: &self.search,
            posterior: &self.posterior,
            noted: question.log,
            ways: &self.ways,
            stood: &self.stood,
        });
        let own = |id: &str| own_fault(&self.posterior, id);
        module::before_opening(question, &self.model, &own, &mut advice);
        advice
    }
}

/// Findings without the advice, and what it is to be made from. None where the question cannot be answered.
pub fn findings_while(
    question: &Question<'_>,
    go_on: &dyn Fn() -> bool,
) -> (Findings, Option<Basis>) {
    found(question, go_on, None)
}

fn found(
    question: &Question<'_>,
    go_on: &dyn Fn() -> bool,
    early: Option<&dyn Fn(&Findings)>,
) -> (Findings, Option<Basis>) {
    let shorter = long::shortened(question.log);
    let all = question;
    let question = &Question {
        log: shorter.as_deref().unwrap_or(question.log),
        ..*question
    };
    let mut problems = problems::problems(question);
    problems.extend(shorter.as_ref().map(|_| long::problem(all.log)));
    if problems.iter().any(|p| p.fatal) {
        return (Findings::unanswered(problems), None);
    }
    let singles = |model: &Model, list: &[Candidate], singles: &Search| {
        if let Some(early) = early {
            let scene = Scene {
                noted: question,
                likely: question.log,
                model,
                list,
                search: singles,
            };
            let mut findings = scene.findings(problems.clone()).0;
            findings.next.best = Best::Searching;
            early(&findings);
        }
    };
    let asked = early.map(|_| &singles as Early<'_>);
    // From here on the log is read as it most likely was, where nobody noted whether a connector was plugged.
    let Found {
        log,
        model,
        candidates,
        search,
        ways,
        stood,
    } = search_ways(question.circuit, question.meter, question.log, go_on, asked);
    if !go_on() {
        return (Findings::unanswered(problems), None);
    }
    problems.extend(problems::worked_out(question.log, &log));
    let scene = Scene {
        noted: question,
        likely: &log,
        model: &model,
        list: &candidates,
        search: &search,
    };
    let (findings, posterior) = scene.findings(problems);
    let basis = Basis {
        log,
        model,
        candidates,
        search,
        posterior,
        ways,
        stood,
    };
    (findings, Some(basis))
}

/// What was found, as findings are told from it.
struct Scene<'s> {
    noted: &'s Question<'s>,
    /// The log as it most likely was.
    likely: &'s [Entry],
    model: &'s Model,
    list: &'s [Candidate],
    search: &'s Search,
}

impl Scene<'_> {
    /// The same model with a probe at every point, to say what each should read now.
    fn wide(&self, probes: &[Point]) -> Model {
        let mut log = self.likely.to_vec();
        log.extend(probes.iter().map(|point| {
            let state = State {
                unknown: std::collections::BTreeSet::new(),
                supply_off: false,
                ..self.noted.now.clone()
            };
            Entry::Reading(Reading {
                state,
                ..Reading::volts(point.clone(), 0.0)
            })
        }));
        let question = &Question {
            log: self.likely,
            ..*self.noted
        };
        let (circuit, meter) = (question.circuit, question.meter);
        Model::new(circuit, meter, &log, &alike::states(question))
    }

    /// The findings without the advice, and how likely what is.
    fn findings(&self, problems: Vec<Problem>) -> (Findings, Posterior) {
        let (noted, model, list, found) = (self.noted, self.model, self.list, self.search);
        let question = &Question {
            log: self.likely,
            ..*noted
        };
        let circuit = question.circuit;
        let probes = probes(circuit);
        let post = posterior(found, list, model.repairs.len(), model.measured.len());
        let wide = self.wide(&probes);
        let mut weigher = Weigher::new(&wide);
        let idle = vec![[0.0; 4]; wide.sources.len()];
        let before = weigher.before(&[], &idle);
        let hinges = hinge::hinges(&mut weigher, &before);
        let real = model.measured.len();
        let ranked = rank(found, &post);
        // What is shown is what is said: the likeliest way of what the answer names, which need not be the likeliest way of all.
        // Before anything was read nothing is under suspicion: what is likely then is likely anywhere.
        let suspected = (named(&ranked, list, &post, model.repairs.len()).as_ref())
            .or(ranked.first())
            .copied()
            .filter(|_| real > 0);
        let after = suspected.and_then(|best| {
            let free: Vec<Option<SizePrior>> = best.faults.iter().map(|&f| list[f].size).collect();
            let fit = &best.robust.best;
            weigher.predictor.bench.low = fit.low;
            let fitted = weigher.fit(&fit.faults, &free, &fit.used, &fit.deviations)?;
            Some(weigher.after(&fitted, &free))
        });
        let mistakes = mistake::mistakes(
            question,
            model,
            &post.mistaken,
            suspected.map(|best| (best, list)),
        );
        let suspects = suspects(circuit, &post);
        let mut weighted: Vec<(&Hypothesis, f64)> = found
            .hypotheses
            .iter()
            .zip(post.hypothesis.iter().copied())
            .collect();
        weighted.sort_by(|a, b| b.1.total_cmp(&a.1));
        let supplies = supply::supplies(circuit, model, &weighted, list);
        let groups = alike::groups(&mut weigher, list, &ranked, &suspects);
        let mut findings = Findings {
            problems,
            combinations: combinations(found, &post, list, wide.repairs.len()),
            healthy: post.healthy,
            unexplained: post.unexplained,
            fit: fit(&ranked, real),
            readings: readings(
                model,
                &post,
                &ranked,
                list,
                (&before, &hinges, after.as_deref()),
                mistakes,
            ),
            points: probes
                .iter()
                .zip(&before[real..])
                .enumerate()
                .map(|(index, (point, healthy))| PointFinding {
                    point: point.clone(),
                    healthy: predicted(healthy),
                    hinges: hinges[real + index],
                    suspected: after.as_ref().map(|after| predicted(&after[real + index])),
                })
                .collect(),
            densities: suspected.map_or_else(Vec::new, |_| densities(circuit, &post)),
            resistance: (suspected.and(post.marginals.first()))
                .map(resistance)
                .unwrap_or_default(),
            supplies,
            modules: module::verdicts(noted, model, &|id| own_fault(&post, id)),
            proof: proof::proof(noted),
            next: Advice::default(),
            suspects,
            groups,
        };
        for (index, group) in findings.groups.iter().enumerate() {
            for &member in &group.members {
                findings.suspects[member].group = index;
            }
        }
        (findings, post)
    }
}

/// Probability that a supply itself has a fault.
fn own_fault(post: &Posterior, id: &str) -> f64 {
    use crate::fault::FaultKind::{LimitsEarly, SupplyDead, SupplyLow};
    let own =
        |m: &&Marginal| m.site.part == id && matches!(m.kind, SupplyDead | SupplyLow | LimitsEarly);
    post.marginals
        .iter()
        .filter(own)
        .map(|m| m.probability)
        .sum()
}

/// Points that a probe can reach, without battery negative.
fn probes(circuit: &Circuit) -> Vec<Point> {
    circuit
        .points()
        .into_iter()
        .filter(|point| !point.is_battery_negative())
        .collect()
}

/// The reading of volts that an entry of the log is; none where it is something else or set aside.
pub(crate) fn volts_of(entry: &Entry) -> Option<&Reading> {
    let reading = entry.used()?;
    (reading.kind == Kind::Volts).then_some(reading)
}
