//! What further measurements would read, given what has been read: the predictive distribution.

use super::{
    gauss::{Cholesky, dot},
    predict::Prediction,
    solve::{Deviations, Fault},
    weigh::{Fitted, SizePrior, Weigher, covariance, distance},
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
                sd: together(p, &[], total, m, m).sqrt(),
            })
            .collect()
    }

    /// The value of every measurement with given faults and deviations of the supplies.
    pub fn values(&mut self, faults: &[Fault], deviations: &[Deviations]) -> Vec<f64> {
        self.predictor
            .values(faults, deviations, &mut self.prediction);
        let total = self.model().measured.len();
        self.prediction.value[..total].to_vec()
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
    ///
    /// Everything is linearised where the fit stands, the readings it has used too: a covariance of readings from one
    /// point and sensitivities from another would leave spread where the readings leave none.
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
        let used = &fitted.used;
        let off = |m: usize| distance(p, &fitted.faults, free, &fitted.deviations, m);
        let fresh = Cholesky::new(used.len(), covariance(model, p, free, used, false));
        let cholesky = fresh.as_ref().unwrap_or(&fitted.cholesky);
        let mut pull: Vec<f64> = (used.iter())
            .map(|&m| model.measured[m].value - p.value[m] + off(m))
            .collect();
        cholesky.solve(&mut pull);
        let against = direct.map(|direct| {
            let mut change: Vec<f64> = used.iter().map(|&m| direct[m]).collect();
            cholesky.forward(&mut change);
            change
        });
        let mut shared = vec![0.0; used.len()];
        (0..total)
            .map(|target| {
                for (entry, &m) in shared.iter_mut().zip(used) {
                    *entry = together(p, free, total, target, m);
                }
                let drawn: f64 = shared.iter().zip(&pull).map(|(s, q)| s * q).sum();
                let mean = p.value[target] - off(target) + drawn;
                cholesky.forward(&mut shared);
                let known: f64 = shared.iter().map(|x| x * x).sum();
                let all = together(p, free, total, target, target);
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

/// Covariance of two readings by the spreads and the priors of the sizes.
fn together(
    p: &Prediction,
    free: &[Option<SizePrior>],
    total: usize,
    one: usize,
    two: usize,
) -> f64 {
    let mut by_spread = dot(p.leans(one), p.leans(two));
    if one == two {
        by_spread += p.stray[one].powi(2);
    }
    let sizes = p.by_size.chunks_exact(total.max(1)).zip(free);
    let by_size =
        sizes.filter_map(|(row, prior)| prior.map(|(_, sd)| row[one] * row[two] * sd * sd));
    by_spread + by_size.sum::<f64>()
}
