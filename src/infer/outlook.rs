//! What further measurements would read, given what has been read: the predictive distribution.

use super::{
    lower::Model,
    predict::Prediction,
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior, Weigher},
};

/// Mean and standard deviation of one measurement, without its own display.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// Expected value, SI.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// What one further measurement would read given the readings of a fit, without its own display.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    /// Expected value, SI.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Change of the expected value per unit along the direction that was asked for.
    pub slope: f64,
}

impl Weigher<'_> {
    /// Prior predictive distribution of every measurement with given faults, spreads not yet narrowed by readings.
    pub fn before(&mut self, faults: &[Fault], deviations: &[Deviations]) -> Vec<Outlook> {
        self.predictor
            .predict(faults, deviations, true, &mut self.prediction);
        let p = &self.prediction;
        let total = self.model().measured.len();
        (0..total)
            .map(|m| Outlook {
                mean: p.value[m],
                sd: variance(self.model(), p, m, &[]).sqrt(),
            })
            .collect()
    }

    /// Predictive distribution of every measurement given the readings that a fit has used.
    pub fn after(&mut self, fitted: &Fitted, free: &[Option<SizePrior>]) -> Vec<Outlook> {
        self.ahead(fitted, free, None)
            .into_iter()
            .map(|Ahead { mean, sd, .. }| Outlook { mean, sd })
            .collect()
    }

    /// The same, with how the expectation moves along a direction such as a fault's place on its wire: `direct`
    /// holds the change of every measurement per unit, all else fixed; what the readings say against it is taken off.
    pub fn ahead(
        &mut self,
        fitted: &Fitted,
        free: &[Option<SizePrior>],
        direct: Option<&[f64]>,
    ) -> Vec<Ahead> {
        let model = self.model();
        let total = model.measured.len();
        self.predictor.predict(
            &fitted.faults,
            &fitted.deviations,
            true,
            &mut self.prediction,
        );
        let p = &self.prediction;
        let source_rows = 4 * model.sources.len();
        let rows = rows(p, free, total);
        let shifts: Vec<f64> = rows
            .iter()
            .enumerate()
            .map(|(index, (row, sd))| {
                if index < source_rows || index >= p.rows {
                    return 0.0;
                }
                sd * fitted
                    .used
                    .iter()
                    .zip(&fitted.pull)
                    .map(|(&m, q)| row[m] * sd * q)
                    .sum::<f64>()
            })
            .collect();
        let mut shared = vec![0.0; fitted.used.len()];
        let against = direct.map(|direct| {
            let mut change: Vec<f64> = fitted.used.iter().map(|&m| direct[m]).collect();
            fitted.cholesky.forward(&mut change);
            change
        });
        (0..total)
            .map(|target| {
                let mean = p.value[target]
                    + rows
                        .iter()
                        .zip(&shifts)
                        .map(|((row, _), shift)| row[target] * shift)
                        .sum::<f64>();
                for (entry, &m) in shared.iter_mut().zip(&fitted.used) {
                    *entry = rows
                        .iter()
                        .map(|(row, sd)| row[target] * row[m] * sd * sd)
                        .sum();
                }
                fitted.cholesky.forward(&mut shared);
                let known: f64 = shared.iter().map(|x| x * x).sum();
                let all = variance(model, p, target, free);
                let slope = match (direct, &against) {
                    (Some(direct), Some(against)) => {
                        let taken: f64 = shared.iter().zip(against).map(|(a, b)| a * b).sum();
                        direct[target] - taken
                    }
                    _ => 0.0,
                };
                Ahead {
                    mean,
                    sd: (all - known).max(1e-12 * all.max(1e-12)).sqrt(),
                    slope,
                }
            })
            .collect()
    }
}

/// Rows of the sensitivities with the standard deviation of their parameter.
fn rows<'p>(p: &'p Prediction, free: &[Option<SizePrior>], total: usize) -> Vec<(&'p [f64], f64)> {
    let mut rows: Vec<(&[f64], f64)> = p
        .lean
        .chunks_exact(total.max(1))
        .map(|row| (row, 1.0))
        .collect();
    rows.extend(
        p.by_size
            .chunks_exact(total.max(1))
            .zip(free)
            .filter_map(|(row, prior)| prior.map(|(_, sd)| (row, sd))),
    );
    rows
}

fn variance(model: &Model, p: &Prediction, m: usize, free: &[Option<SizePrior>]) -> f64 {
    let total = model.measured.len();
    rows(p, free, total)
        .iter()
        .map(|(row, sd)| (row[m] * sd).powi(2))
        .sum()
}
