//! What should be read where that hinges on whether a supply reaches its limit: by its figures the healthy sensors draw
//! as much as it gives, and with a limit at the upper end of its spread it would give them all they ask for.

use crate::infer::{
    outlook::Outlook,
    solve::{Deviations, LIMIT},
    weigh::Weigher,
};

/// The least and the greatest value with nothing wrong; none where it does not hinge on a limit.
pub(super) type Hinge = Option<(f64, f64)>;

/// Standard deviations of the 90 % interval on either side.
const END: f64 = 1.645;
/// Standard deviations and share of the value by which the upper end has to lie above what is expected, to be told
/// (judgement).
const OFF_SD: f64 = 3.0;
const OFF_SHARE: f64 = 0.05;

/// What hinges on a limit, for every measurement.
///
/// A limit that only its lower end would reach is left out: no module is made that cannot feed its own sensors.
pub(super) fn hinges(weigher: &mut Weigher<'_>, before: &[Outlook]) -> Vec<Hinge> {
    let mut deviations: Vec<Deviations> = vec![[0.0; 4]; weigher.model().sources.len()];
    for source in &mut deviations {
        source[LIMIT] = END;
    }
    let upper = weigher.values(&[], &deviations);
    let told = |expected: &Outlook, upper: f64| {
        let off = (OFF_SD * expected.sd).max(OFF_SHARE * expected.mean.abs());
        upper - expected.mean > off
    };
    if !before
        .iter()
        .zip(upper)
        .any(|(expected, upper)| told(expected, upper))
    {
        return vec![None; before.len()];
    }
    // The sensitivities are worth their time only now.
    let upper = weigher.before(&[], &deviations);
    let ends = |(expected, upper): (&Outlook, Outlook)| {
        let ends = (
            expected.mean - END * expected.sd,
            upper.mean + END * upper.sd,
        );
        told(expected, upper.mean).then_some(ends)
    };
    before.iter().zip(upper).map(ends).collect()
}
