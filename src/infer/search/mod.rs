//! The search over faults: singles first, then pairs and triples grown from what they leave unexplained.

mod crew;
mod further;
mod gross;
mod parent;
mod place;
mod refine;
mod singles;
mod standing;
mod trail;

use further::{Litter, OFFSPRING, PARENTS};
pub use refine::{integral, segment};
use standing::Crowd;

use super::{
    candidate::Candidate,
    lower::Model,
    robust::{Robust, mistake_density},
    solve::{Deviations, Fault},
    weigh::{Fitted, Weigher},
};
use crate::fault::PRIORS;

/// Tail probability of the best fit's misfit under which further faults are looked for.
const UNEASY: f64 = 0.05;

/// Candidates times readings from which on the search for faults together takes long enough to be waited for: a fifth of
/// a second and more on two cores (judgement, by `benches/diagnose.rs`).
const LONG: usize = 30_000;

/// Where along a stretch of wire: the fitted fraction, and slope and curvature of the log density there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Along {
    /// Fraction of the wire.
    pub x: f64,
    /// d ln p / dx.
    pub slope: f64,
    /// −d² ln p / dx².
    pub curvature: f64,
    /// Change of the fitted logarithm of size per fraction.
    pub drift: f64,
}

/// Faults present together, weighed.
#[derive(Clone, Debug)]
pub struct Hypothesis {
    /// Indices of the candidates; none for a healthy circuit.
    pub faults: Vec<usize>,
    /// Natural logarithm of prior weight times evidence.
    pub log_weight: f64,
    /// Fit and mistakes.
    pub robust: Robust,
    /// For each fault, its logarithm of size with log density, ascending; empty when it has no size.
    pub sizes: Vec<Vec<(f64, f64)>>,
    /// For each fault on a stretch of wire, where on it.
    pub along: Vec<Option<Along>>,
}

/// Result of a search.
#[derive(Clone, Debug)]
pub struct Search {
    /// Weighed hypotheses in a fixed order.
    pub hypotheses: Vec<Hypothesis>,
    /// Log weight of “nothing on this sketch explains the readings”.
    pub unexplained: f64,
}

/// Weighs one set of faults, each a candidate with a logarithm of size to start from. `None` when no density can be
/// computed.
pub fn weighed(
    model: &Model,
    candidates: &[Candidate],
    faults: &[(usize, f64)],
) -> Option<Hypothesis> {
    let mut seeker = Seeker::new(model, candidates, &|| true);
    let list: Vec<Fault> = (faults.iter())
        .map(|&(index, size)| candidates[index].fault(size))
        .collect();
    let indices: Vec<usize> = faults.iter().map(|f| f.0).collect();
    let idle = seeker.idle.clone();
    seeker.weigh(&indices, &list, &idle)
}

/// Runs the whole search. Cost: linear in candidates and readings for singles.
pub fn search(model: &Model, candidates: &[Candidate]) -> Search {
    search_while(model, candidates, &|| true)
}

/// Weighs single faults only.
pub fn singles(model: &Model, candidates: &[Candidate]) -> Search {
    singles_while(model, candidates, &|| true)
}

/// The same for as long as `go_on` answers yes.
pub fn singles_while(model: &Model, candidates: &[Candidate], go_on: &dyn Fn() -> bool) -> Search {
    let mut seeker = Seeker::new(model, candidates, go_on);
    let (healthy, singles, crowd) = seeker.rough();
    seeker.alone(healthy, singles, &crowd)
}

/// Runs the search for as long as `go_on` answers yes; what has been found by then is the result.
pub fn search_while(model: &Model, candidates: &[Candidate], go_on: &dyn Fn() -> bool) -> Search {
    search_in_steps(model, candidates, go_on, None)
}

/// The same; `early` is given the singles by themselves where the search for faults together takes long. The result does not
/// hang on it.
pub fn search_in_steps(
    model: &Model,
    candidates: &[Candidate],
    go_on: &dyn Fn() -> bool,
    early: Option<&dyn Fn(&Search)>,
) -> Search {
    let mut seeker = Seeker::new(model, candidates, go_on);
    let (healthy, mut singles, crowd) = seeker.rough();
    if model.measured.is_empty() || !seeker.misses(&singles) || !seeker.misses(&healthy) {
        return seeker.alone(healthy, singles, &crowd);
    }
    let long = candidates.len() * model.measured.len() >= LONG;
    if let Some(early) = early.filter(|_| long && go_on()) {
        early(&(seeker.clone()).alone(healthy.clone(), singles.clone(), &crowd));
    }
    seeker.explain_a_part();
    // Singles are integrated when it is known which of them matter beside the rest.
    let mut parents = singles.clone();
    seeker.stand_in(&mut parents, &crowd);
    let beside = seeker.beside_a_single(&parents);
    let mut more = seeker.grow(&parents, beside, PARENTS[0], OFFSPRING[0]);
    if seeker.misses(&more) {
        let triples = seeker.grow(&more, Vec::new(), PARENTS[1], OFFSPRING[1]);
        let fewer = seeker.without_one(&triples, &more);
        more.extend(triples);
        more.extend(fewer);
    }
    let mut hypotheses = healthy;
    let first = hypotheses.len();
    hypotheses.extend(more);
    seeker.refine(&mut singles, &hypotheses);
    seeker.stand_in(&mut singles, &crowd);
    hypotheses.splice(first..first, singles);
    seeker.told(hypotheses)
}

fn over(model: &Model) -> usize {
    model.measured.iter().filter(|m| m.over).count()
}

fn best(found: &[Hypothesis]) -> Option<&Hypothesis> {
    found
        .iter()
        .max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
}

/// Probability of a sum of squares at least as large, by Wilson and Hilferty's cube-root normal approximation
/// (Proceedings of the National Academy of Sciences 17, 1931).
pub fn tail(fitted: &Fitted) -> f64 {
    let n = fitted.used.len().max(1) as f64;
    let spread = 2.0 / (9.0 * n);
    let z = ((fitted.chi_squared / n).max(0.0).cbrt() - (1.0 - spread)) / spread.sqrt();
    super::gauss::log_normal_cdf(-z).exp()
}

/// Faults moved along their stretches to where they fit all readings best.
struct Settled {
    list: Vec<Fault>,
    deviations: Vec<Deviations>,
    /// The fit there, and how the density runs about it, if the last step was to look and not to move.
    fit: Option<Fitted>,
    along: Option<Vec<Option<Along>>>,
}

#[derive(Clone)]
struct Seeker<'m, 'c, 'g> {
    candidates: &'c [Candidate],
    /// Those that work at each node.
    at_node: Vec<Vec<usize>>,
    log_total: f64,
    weigher: Weigher<'m>,
    idle: Vec<Deviations>,
    /// Largest log weight so far, and whether that fit is none to be content with.
    most: f64,
    uneasy: bool,
    /// Single faults by how well they explain a part of the readings: misfit, candidate, logarithm of size.
    partly: Vec<(f64, usize, f64)>,
    /// Least misfit by gross readings so far.
    least: f64,
    /// What this thread has found beside parents: with likely sizes, and with a current divided.
    litters: [Litter; 2],
    /// What the second thread weighs with, once there was one.
    mate: Option<Box<Weigher<'m>>>,
    /// Whether anybody still waits for the answer.
    go_on: &'g dyn Fn() -> bool,
}

impl<'m, 'c, 'g> Seeker<'m, 'c, 'g> {
    fn new(model: &'m Model, candidates: &'c [Candidate], go_on: &'g dyn Fn() -> bool) -> Self {
        let total: f64 = candidates.iter().map(|c| c.weight).sum::<f64>().max(1e-300);
        let mut weigher = Weigher::new(model);
        weigher.brisk = true;
        Self {
            candidates,
            at_node: singles::at_node(model, candidates),
            log_total: total.ln(),
            weigher,
            idle: vec![[0.0; 4]; model.sources.len()],
            most: f64::NEG_INFINITY,
            uneasy: true,
            partly: Vec::new(),
            least: f64::INFINITY,
            litters: Default::default(),
            mate: None,
            go_on,
        }
    }

    /// The healthy circuit, where it could be weighed, the single faults that are fitted, and those that are scored.
    fn rough(&mut self) -> (Vec<Hypothesis>, Vec<Hypothesis>, Crowd) {
        let healthy = self.healthy().into_iter().collect();
        let (singles, crowd) = self.singles();
        (healthy, singles, crowd)
    }

    /// Nothing wrong, and every single fault.
    fn alone(
        &mut self,
        mut healthy: Vec<Hypothesis>,
        mut singles: Vec<Hypothesis>,
        crowd: &Crowd,
    ) -> Search {
        self.refine(&mut singles, &healthy);
        self.stand_in(&mut singles, crowd);
        healthy.append(&mut singles);
        self.told(healthy)
    }

    /// What was weighed, beside that nothing on the sketch explains the readings.
    fn told(&self, hypotheses: Vec<Hypothesis>) -> Search {
        let model = self.weigher.model();
        let mistaken = model.measured.iter().map(|m| mistake_density(model, m));
        Search {
            hypotheses,
            unexplained: PRIORS.unexplained.ln() + mistaken.sum::<f64>(),
        }
    }
}

impl Seeker<'_, '_, '_> {
    fn healthy(&mut self) -> Option<Hypothesis> {
        let idle = self.idle.clone();
        self.weigher.predictor.bench.low = false;
        let robust = self.weigher.robust(&[], &[], &idle)?;
        let log_weight = PRIORS.healthy.ln() + robust.log_evidence;
        Some(Hypothesis {
            faults: Vec::new(),
            log_weight,
            robust,
            sizes: Vec::new(),
            along: Vec::new(),
        })
    }

    fn prior(&self, faults: &[usize]) -> f64 {
        let more = faults.len().saturating_sub(1) as f64;
        // Faults drawn one after the other come to the same set in any order.
        let orders: f64 = (2..=faults.len()).map(|k| (k as f64).ln()).sum();
        faults
            .iter()
            .map(|&f| &self.candidates[f])
            .map(|one| one.weight.ln() - self.log_total + one.looked())
            .sum::<f64>()
            + orders
            + more * PRIORS.another_fault.ln()
            + self
                .weigher
                .model()
                .moved(faults.iter().map(|&f| &self.candidates[f]))
    }

    /// Whether nothing that was found explains the readings.
    fn misses(&self, found: &[Hypothesis]) -> bool {
        best(found).is_none_or(|best| self.is_uneasy(&best.robust))
    }

    /// Whether a fit leaves readings aside or fits badly.
    fn is_uneasy(&self, robust: &Robust) -> bool {
        let model = self.weigher.model();
        let aside = model.measured.len() - robust.best.used.len() > over(model);
        aside || tail(&robust.best) < UNEASY
    }
}
