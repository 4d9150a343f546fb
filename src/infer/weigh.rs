//! How well given faults explain the readings: the evidence, with every spread integrated out.
//!
//! Around the best-fitting parameters the readings are jointly Gaussian with covariance S = D + J Λ Jᵀ; the fit is
//! found by iterating that linearisation (Gauss–Newton), and the density at the fit is Laplace's approximation of
//! the evidence. Source: B. M. Bell and F. W. Cathey, IEEE Transactions on Automatic Control 38 (1993).

use std::{borrow::Cow, f64::consts::PI};

use super::{
    gauss::{Cholesky, add_gram},
    lower::{Measured, Model},
    predict::{Prediction, Predictor},
    robust::{Unit, units},
    solve::{Deviations, Fault},
};

/// Normal prior of the logarithm of a fault's size: mean and standard deviation.
pub type SizePrior = (f64, f64);

/// Most iterations of a fit, and the step (standard deviations) under which it is good enough.
const ITERATIONS: usize = 14;
const CLOSE: f64 = 0.02;
/// The same where many are to be weighed, for deviations and for sizes: the last step is taken all the same, and the
/// density that it started from is short by its square.
const BRISK: (f64, f64) = (0.1, 0.4);
/// Longest step of a deviation, and of a logarithm of size.
const DEVIATION_STEP: f64 = 1.5;
const SIZE_STEP: f64 = 1.6;
/// Least share of a step that is taken where supplies turn their regimes.
const LEAST_GAIN: f64 = 0.25;

/// A fit of given faults.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// Natural logarithm of the evidence density of the used readings.
    pub log_evidence: f64,
    /// Sum of squared standardised residuals.
    pub chi_squared: f64,
    /// Deviations of the sources at the fit.
    pub deviations: Vec<Deviations>,
    /// The faults with their sizes at the fit.
    pub faults: Vec<Fault>,
    /// Standard deviation of each free logarithm of size; 0 for fixed ones.
    pub size_sd: Vec<f64>,
    /// For each free logarithm of size U⁻ᵀ b, S = UᵀU and b being how the used readings lean on it; empty for fixed ones.
    pub by_size: Vec<Vec<f64>>,
    /// Indices of the used readings.
    pub used: Vec<usize>,
    /// S⁻¹ r of the used readings.
    pub pull: Vec<f64>,
    /// Factor of S.
    pub cholesky: Cholesky,
    /// Whether folding supplies were taken to be in their lower rest.
    pub low: bool,
    /// Whether the iteration came to rest and every state settled.
    pub settled: bool,
}

/// Weighs faults by the readings of one model.
#[derive(Clone, Debug)]
pub struct Weigher<'m> {
    /// The predictor.
    pub predictor: Predictor<'m>,
    /// The last prediction with its sensitivities.
    pub prediction: Prediction,
    /// Whether readings are taken loosely, as when a place stands for its whole neighbourhood.
    pub loose: bool,
    /// Whether fits may stop as soon as their weight is known well enough.
    pub brisk: bool,
    /// Log evidence below which no more work is spent on a hypothesis once a first look has shown that it stays below.
    pub floor: f64,
    pub(super) units: Vec<Unit>,
}

impl<'m> Weigher<'m> {
    /// A weigher over a model.
    pub fn new(model: &'m Model) -> Self {
        Self {
            predictor: Predictor::new(model),
            prediction: Prediction::default(),
            loose: false,
            brisk: false,
            floor: f64::NEG_INFINITY,
            units: units(model),
        }
    }

    /// The model.
    pub fn model(&self) -> &'m Model {
        self.predictor.bench.model
    }

    /// Fits faults to the readings in `used`. A fault whose entry in `free` is a prior has its size fitted and
    /// integrated out under that prior. `None` when no density can be computed.
    pub fn fit(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        used: &[usize],
        start: &[Deviations],
    ) -> Option<Fitted> {
        let model = self.model();
        let total = model.measured.len();
        let mut deviations = start.to_vec();
        let mut faults = faults.to_vec();
        let exact: Vec<usize> = used
            .iter()
            .copied()
            .filter(|&m| !model.measured[m].over)
            .collect();
        let mut last = None;
        let close = if self.brisk { BRISK } else { (CLOSE, CLOSE) };
        let (mut pattern, mut gain) = (None, 1.0f64);
        for iteration in 0..ITERATIONS {
            self.predictor
                .predict(&faults, &deviations, true, &mut self.prediction);
            let p = &self.prediction;
            // A step that turned a supply's regime was taken along a line that ends there: shorter ones from now on, so that
            // a fit that swings between two regimes comes to rest.
            let now = Some(self.predictor.pattern);
            if iteration > 0 && now != pattern {
                gain = (0.6 * gain).max(LEAST_GAIN);
            }
            pattern = now;
            let residual: Vec<f64> = exact
                .iter()
                .map(|&m| {
                    model.measured[m].value - p.value[m]
                        + distance(p, &faults, free, &deviations, m)
                })
                .collect();
            if residual.iter().any(|r| !r.is_finite()) {
                return last;
            }
            let cholesky =
                Cholesky::new(exact.len(), covariance(model, p, free, &exact, self.loose))?;
            let mut pull = residual.clone();
            cholesky.solve(&mut pull);
            let chi_squared: f64 = residual.iter().zip(&pull).map(|(r, q)| r * q).sum();
            let mut log_evidence =
                -0.5 * (chi_squared + cholesky.log_det() + exact.len() as f64 * (2.0 * PI).ln());
            log_evidence += censored(model, p, &p.value, used);
            let mut moved = 0.0f64;
            for (s, deviation) in deviations.iter_mut().enumerate() {
                for (k, value) in deviation.iter_mut().enumerate() {
                    let row = |m: usize| p.leans(m)[4 * s + k];
                    // A limit that is not reached says nothing, and going back to where it is would reach it.
                    if k >= 2 && exact.iter().all(|&m| row(m) == 0.0) {
                        continue;
                    }
                    let target: f64 = exact.iter().zip(&pull).map(|(&m, q)| row(m) * q).sum();
                    let step = (target - *value).clamp(-DEVIATION_STEP, DEVIATION_STEP);
                    moved = moved.max(step.abs());
                    *value = (*value + gain * step).clamp(-6.0, 6.0);
                }
            }
            let mut size_sd = vec![0.0; faults.len()];
            let mut by_size = vec![Vec::new(); faults.len()];
            for (f, prior) in free.iter().enumerate() {
                let Some((mean, sd)) = prior else { continue };
                let row = &p.by_size[f * total..];
                let target: f64 = mean
                    + sd * sd
                        * exact
                            .iter()
                            .zip(&pull)
                            .map(|(&m, q)| row[m] * q)
                            .sum::<f64>();
                let mut column: Vec<f64> = exact.iter().map(|&m| row[m]).collect();
                cholesky.forward(&mut column);
                let known: f64 = column.iter().map(|x| x * x).sum();
                size_sd[f] = sd * (1.0 - sd * sd * known).max(1e-12).sqrt();
                by_size[f] = column;
                let step = (target - faults[f].log_size).clamp(-SIZE_STEP, SIZE_STEP);
                moved = moved.max(step.abs() / size_sd[f].max(0.02) * (close.0 / close.1));
                let gain = if iteration < 6 { gain } else { gain.min(0.6) };
                let (least, most) = (mean - 4.0 * sd, mean + 4.0 * sd);
                faults[f].log_size = (faults[f].log_size + gain * step).clamp(least, most);
            }
            let resting = moved < close.0;
            let fitted = Fitted {
                log_evidence,
                chi_squared,
                deviations: deviations.clone(),
                faults: faults.clone(),
                size_sd,
                by_size,
                used: exact.clone(),
                pull,
                cholesky,
                low: self.predictor.bench.low,
                settled: p.settled && (resting || iteration + 1 < ITERATIONS),
            };
            last = Some(fitted);
            if resting {
                break;
            }
        }
        last
    }

    /// Leave-one-out log densities of the used readings of a fit: ln p(yᵢ | all others).
    pub fn leave_one_out(fitted: &Fitted) -> Vec<f64> {
        fitted
            .cholesky
            .inverse_diagonal()
            .iter()
            .zip(&fitted.pull)
            .map(|(precision, pull)| -0.5 * ((2.0 * PI / precision).ln() + pull * pull / precision))
            .collect()
    }
}

/// The readings linearised about given faults and deviations, to score neighbours that read almost the same.
#[derive(Clone, Debug)]
pub struct Line {
    pub(super) exact: Vec<usize>,
    all: Vec<usize>,
    /// Readings, plus what the parameters' distance from their priors explains.
    pub(super) target: Vec<f64>,
    pub(super) cholesky: Cholesky,
    inverse: Vec<f64>,
    pub(super) constant: f64,
    pub(super) at: Prediction,
}

impl Weigher<'_> {
    /// Linearises all readings. `None` when no density can be computed.
    pub fn linearise(
        &mut self,
        faults: &[Fault],
        free: &[Option<SizePrior>],
        deviations: &[Deviations],
    ) -> Option<Line> {
        let model = self.model();
        self.predictor
            .predict(faults, deviations, true, &mut self.prediction);
        let p = &self.prediction;
        let all: Vec<usize> = (0..model.measured.len()).collect();
        let exact: Vec<usize> = all
            .iter()
            .copied()
            .filter(|&m| !model.measured[m].over)
            .collect();
        let target = exact
            .iter()
            .map(|&m| model.measured[m].value + distance(p, faults, free, deviations, m))
            .collect();
        let cholesky = Cholesky::new(exact.len(), covariance(model, p, free, &exact, false))?;
        let constant = cholesky.log_det() + exact.len() as f64 * (2.0 * PI).ln();
        Some(Line {
            inverse: cholesky.inverse(),
            exact,
            all,
            target,
            cholesky,
            constant,
            at: p.clone(),
        })
    }

    /// Log evidence, mistakes allowed for, of something that predicts `values` and leans like the line.
    pub fn score(&self, line: &Line, values: &[f64]) -> f64 {
        let model = self.model();
        let residual: Vec<f64> = line
            .exact
            .iter()
            .zip(&line.target)
            .map(|(&m, target)| target - values[m])
            .collect();
        let mut pull = residual.clone();
        line.cholesky.solve(&mut pull);
        let chi: f64 = residual.iter().zip(&pull).map(|(r, q)| r * q).sum();
        if !chi.is_finite() {
            return f64::NEG_INFINITY;
        }
        let evidence = -0.5 * (chi + line.constant) + censored(model, &line.at, values, &line.all);
        let inverse = Cow::Borrowed(&line.inverse[..]);
        self.hope(evidence, &line.exact, inverse, pull)
    }
}

impl Weigher<'_> {
    /// Moves a fault's size and the deviations of the sources to where the line has them fit `values` best; gives the longest
    /// step, before it was held back.
    pub fn step(
        &self,
        line: &Line,
        values: &[f64],
        free: &[Option<SizePrior>],
        fault: &mut Fault,
        deviations: &mut [Deviations],
    ) -> f64 {
        let mut pull: Vec<f64> = line
            .exact
            .iter()
            .zip(&line.target)
            .map(|(&m, target)| target - values[m])
            .collect();
        line.cholesky.solve(&mut pull);
        let drawn = |lean: &dyn Fn(usize) -> f64| -> f64 {
            (line.exact.iter().zip(&pull).map(|(&m, q)| lean(m) * q)).sum()
        };
        let mut longest = 0.0f64;
        for (row, value) in deviations.iter_mut().flatten().enumerate() {
            let step = drawn(&|m| line.at.leans(m)[row]) - *value;
            longest = longest.max(step.abs());
            *value = (*value + step.clamp(-DEVIATION_STEP, DEVIATION_STEP)).clamp(-6.0, 6.0);
        }
        if let Some((mean, sd)) = free[0] {
            let step = mean + sd * sd * drawn(&|m| line.at.by_size[m]) - fault.log_size;
            longest = longest.max(step.abs());
            let most = 4.0 * sd;
            fault.log_size = (fault.log_size + step.clamp(-SIZE_STEP, SIZE_STEP))
                .clamp(mean - most, mean + most);
        }
        longest
    }
}

/// What the distance of the parameters from their priors adds to a reading, to first order.
pub(super) fn distance(
    p: &Prediction,
    faults: &[Fault],
    free: &[Option<SizePrior>],
    deviations: &[Deviations],
    m: usize,
) -> f64 {
    let total = p.value.len();
    let mut sum = 0.0;
    for (lean, value) in p.leans(m).iter().zip(deviations.iter().flatten()) {
        sum += lean * value;
    }
    for (f, prior) in free.iter().enumerate() {
        if let Some((mean, _)) = prior {
            sum += p.by_size[f * total + m] * (faults[f].log_size - mean);
        }
    }
    sum
}

/// S = D + J Λ Jᵀ over the given readings, lower triangle filled.
pub(super) fn covariance(
    model: &Model,
    p: &Prediction,
    free: &[Option<SizePrior>],
    exact: &[usize],
    loose: bool,
) -> Vec<f64> {
    let total = model.measured.len();
    let order = exact.len();
    let mut s = vec![0.0; order * order];
    for (i, &m) in exact.iter().enumerate() {
        // The floor keeps a display of infinite resolution from making S singular.
        s[i * order + i] = model.measured[m].sd.powi(2) + p.stray[m].powi(2) + 1e-14;
        if loose {
            // What a place nearby changes is a share of the drop, and no more than a share of what is left.
            let value = model.measured[m].value.abs();
            let drop = match model.measured[m].what {
                super::lower::Quantity::Volts(_) => (model.most_volts - value).abs(),
                _ => value,
            };
            s[i * order + i] += (0.05 * value.min(drop)).powi(2) + 0.004f64.powi(2);
        }
    }
    let mut rows: Vec<f64> = Vec::with_capacity(order * p.width);
    for &m in exact {
        rows.extend_from_slice(p.leans(m));
    }
    add_gram(&rows, p.width, &mut s);
    for (lean, prior) in p.by_size.chunks_exact(total.max(1)).zip(free) {
        let Some((_, sd)) = prior else { continue };
        for (i, &m) in exact.iter().enumerate() {
            let x = lean[m] * sd * sd;
            for (entry, &with) in s[i * order..].iter_mut().zip(&exact[..=i]) {
                *entry += x * lean[with];
            }
        }
    }
    s
}

/// Log probability of what was seen in readings that are no numbers.
fn censored(model: &Model, p: &Prediction, values: &[f64], used: &[usize]) -> f64 {
    used.iter()
        .filter(|&&m| model.measured[m].over)
        .map(|&m| model.measured[m].log_chance(values[m], spread(p, m)))
        .sum()
}

/// Variance of a predicted reading without its own display.
fn spread(p: &Prediction, m: usize) -> f64 {
    let leans: f64 = p.leans(m).iter().map(|x| x * x).sum();
    leans + p.stray[m].powi(2)
}

impl Weigher<'_> {
    /// Probability that each reading that is no number says nothing of its value under a fit; 0 for numbers.
    pub(super) fn doubts(&mut self, fitted: &Fitted) -> Vec<f64> {
        self.of_each(fitted, |measured, expected, variance| {
            measured.doubted(expected, variance)
        })
    }

    /// Natural logarithm of the chance of what was seen under a fit, for readings that are no numbers; 0 for numbers.
    pub fn log_chances(&mut self, fitted: &Fitted) -> Vec<f64> {
        self.of_each(fitted, |measured, expected, variance| {
            measured.log_chance(expected, variance)
        })
    }

    fn of_each(&mut self, fitted: &Fitted, what: impl Fn(&Measured, f64, f64) -> f64) -> Vec<f64> {
        let model = self.model();
        self.predictor.bench.low = fitted.low;
        self.predictor.predict(
            &fitted.faults,
            &fitted.deviations,
            true,
            &mut self.prediction,
        );
        let p = &self.prediction;
        (model.measured.iter().enumerate())
            .map(|(m, measured)| what(measured, p.value[m], spread(p, m)))
            .collect()
    }
}
