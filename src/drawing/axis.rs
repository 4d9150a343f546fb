//! The volt axis: as large as it goes, a far healthy band beside it.

use super::profile::Profile;

/// Least distance of two marks on the axis, in points.
const MARK: f32 = 26.0;

/// How the volts lie on the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Lowest volts in sight.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// Where a far healthy band is hinted at: above or below what is in sight.
    pub strip: Option<Side>,
}

/// An edge of the plot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the variants are the edges")]
pub enum Side {
    /// Its upper edge.
    Above,
    /// Its lower edge.
    Below,
}

impl Axis {
    /// Shows what is read and suspected as large as it goes; a healthy band far away becomes a strip at the edge.
    pub fn new(profile: &Profile) -> Option<Self> {
        let (low, high) = profile.range()?;
        let (healthy_low, healthy_high) = healthy(profile).unwrap_or((low, high));
        let least = (high.abs().max(low.abs()) * 0.004).max(0.002);
        let span = (high - low).max(least);
        let gap = (healthy_low - high).max(low - healthy_high);
        if gap > 1.5 * span {
            let strip = if healthy_low > high {
                Side::Above
            } else {
                Side::Below
            };
            return Some(Self::padded(low, high, Some(strip)));
        }
        Some(Self::padded(
            low.min(healthy_low),
            high.max(healthy_high),
            None,
        ))
    }

    fn padded(low: f64, high: f64, strip: Option<Side>) -> Self {
        let least = (high.abs().max(low.abs()) * 0.004).max(0.002);
        let pad = (high - low).max(least) * 0.16;
        Self {
            low: low - pad,
            high: high + pad,
            strip,
        }
    }

    /// Volts at the marks, and their distance.
    pub fn marks(&self, height: f32) -> Vec<f64> {
        let most = f64::from((height / MARK).max(1.0));
        let raw = ((self.high - self.low) / most).max(1e-9);
        let decade = 10f64.powf(raw.log10().floor());
        let steps = [10.0, 5.0, 2.0, 1.0, 0.5, 0.2].map(|m| m * decade);
        let at = |step: f64| -> Vec<f64> {
            let first = (self.low / step).ceil();
            (0..60)
                .map(|k| (first + f64::from(k)) * step)
                .take_while(|volts| *volts <= self.high)
                .collect()
        };
        // The finest that is no finer than wanted; one mark alone is no scale, so then the next finer one.
        let wanted = steps.iter().rposition(|step| *step >= raw).unwrap_or(0);
        let marks = steps[wanted..].iter().map(|step| at(*step));
        let scale = marks.take(2).find(|marks| marks.len() >= 2);
        scale.unwrap_or_else(|| at(steps[wanted]))
    }
}

/// Lowest and highest end of the healthy bands.
pub fn healthy(profile: &Profile) -> Option<(f64, f64)> {
    profile
        .lines
        .iter()
        .flat_map(|line| &line.healthy)
        .fold(None, |range, level| {
            let (low, high) = range.unwrap_or((level.low, level.high));
            Some((low.min(level.low), high.max(level.high)))
        })
}

/// A mark's volts with as many figures as the distance of the marks asks for.
pub fn axis_volts(volts: f64, axis: &Axis) -> String {
    let span = axis.high - axis.low;
    if axis.high.abs().max(axis.low.abs()) < 1.0 {
        let decimals = usize::from(span < 0.004);
        format!("{:.decimals$} mV", volts * 1000.0)
    } else {
        let decimals = if span < 0.04 {
            3
        } else if span < 0.4 {
            2
        } else {
            1
        };
        format!("{volts:.decimals$} V")
    }
}

#[cfg(test)]
mod tests {
    use super::super::profile::{Level, Line as Lead};
    use super::*;

    fn profile(healthy: f64, suspected: (f64, f64)) -> Profile {
        let level = |x: f64, volts: f64| Level {
            x,
            volts,
            low: volts - 0.002,
            high: volts + 0.002,
        };
        Profile {
            lines: vec![Lead {
                lane: 0,
                trunk: true,
                end: "SP1".parse().unwrap(),
                healthy: vec![level(0.0, healthy), level(4.0, healthy - 0.02)],
                suspected: vec![level(0.0, suspected.0), level(4.0, suspected.1)],
            }],
            ..Profile::default()
        }
    }

    #[test]
    fn a_far_healthy_band_becomes_a_strip_and_leaves_the_fall_its_size() {
        let axis = Axis::new(&profile(8.95, (0.67, 0.63))).unwrap();
        assert_eq!(axis.strip, Some(Side::Above));
        assert!(axis.high - axis.low < 0.08);
        let axis = Axis::new(&profile(5.0, (12.6, 12.5))).unwrap();
        assert_eq!(axis.strip, Some(Side::Below));
    }

    #[test]
    fn a_near_healthy_band_is_drawn_to_scale() {
        let axis = Axis::new(&profile(5.0, (4.99, 4.6))).unwrap();
        assert_eq!(axis.strip, None);
        assert!(axis.low < 4.6 && axis.high > 5.0);
    }

    #[test]
    fn marks_are_round_and_inside() {
        let axis = Axis::padded(0.628, 0.672, None);
        let marks = axis.marks(140.0);
        assert!(marks.len() >= 2 && marks.len() <= 5, "{marks:?}");
        for volts in marks {
            assert!((axis.low..=axis.high).contains(&volts));
            assert!(
                (volts * 100.0 - (volts * 100.0).round()).abs() < 1e-6,
                "{volts}"
            );
        }
    }
}
