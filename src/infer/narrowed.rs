//! What readings leave of the supplies' own spreads.

use super::{
    gauss::Cholesky,
    outlook::Outlook,
    weigh::{Fitted, SizePrior, Weigher, covariance, distance},
};

impl Weigher<'_> {
    /// What the readings of a fit leave of every source's standardised deviations: volts, logarithm of the ohms, of the
    /// limit and of the short-circuit current. Where no reading leans on one it stays as stated, 0 and 1.
    ///
    /// Linearised where the fit stands: mean J′S⁻¹r and variance 1 − J′S⁻¹J for a parameter of prior variance 1.
    pub fn sources(&mut self, fitted: &Fitted, free: &[Option<SizePrior>]) -> Vec<[Outlook; 4]> {
        let model = self.model();
        self.predictor.bench.low = fitted.low;
        self.predictor.predict(
            &fitted.faults,
            &fitted.deviations,
            true,
            &mut self.prediction,
        );
        let p = &self.prediction;
        let used = &fitted.used;
        let fresh = Cholesky::new(used.len(), covariance(model, p, free, used, false));
        let cholesky = fresh.as_ref().unwrap_or(&fitted.cholesky);
        let mut pull: Vec<f64> = (used.iter())
            .map(|&m| {
                model.measured[m].value - p.value[m]
                    + distance(p, &fitted.faults, free, &fitted.deviations, m)
            })
            .collect();
        cholesky.solve(&mut pull);
        let one = |row: usize| {
            let mut shared: Vec<f64> = used.iter().map(|&m| p.leans(m)[row]).collect();
            let mean = shared.iter().zip(&pull).map(|(s, q)| s * q).sum();
            cholesky.forward(&mut shared);
            let known: f64 = shared.iter().map(|x| x * x).sum();
            Outlook {
                mean,
                sd: (1.0 - known).max(1e-6).sqrt(),
            }
        };
        (0..model.sources.len())
            .map(|s| std::array::from_fn(|k| one(4 * s + k)))
            .collect()
    }
}
