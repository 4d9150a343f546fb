//! What each point reads and should read as the bench stands now.

use crate::{
    app::model::Model,
    circuit::Point,
    diagnosis::PointFinding,
    explain::names,
    quantity::{Unit, format::without_prefix},
    reading::{Entry, Kind, Reading, Value},
};

/// Reads and should read of a point, to battery negative.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// The point.
    pub point: Point,
    /// Last reading in the present state, after the last repair; none if there is none.
    pub reads: Option<String>,
    /// What it should read; none while that is not known.
    pub should_read: Option<String>,
    /// Line of the log it comes from.
    pub entry: Option<usize>,
}

/// One tag per point that was read in the present state, or is chosen.
pub fn tags(model: &Model) -> Vec<Tag> {
    let job = &model.job;
    let should = |point: &Point| {
        let findings = model.current_findings()?;
        findings.points.iter().find(|f| f.point == *point)
    };
    let mut tags: Vec<Tag> = Vec::new();
    let mut put = |point: &Point, reading: Option<&Reading>, entry: Option<usize>| {
        tags.retain(|tag| tag.point != *point || reading.is_none());
        if !tags.iter().any(|tag| tag.point == *point) {
            let (reads, should_read) = in_one_unit(reading, should(point));
            tags.push(Tag {
                point: point.clone(),
                reads,
                should_read,
                entry,
            });
        }
    };
    let repaired = job
        .log
        .iter()
        .rposition(|entry| matches!(entry, Entry::Repair(_)))
        .map_or(0, |repair| repair + 1);
    for (index, entry) in job.log.iter().enumerate().skip(repaired) {
        if let Entry::Reading(reading) = entry
            && reading.kind == Kind::Volts
            && reading.black.is_battery_negative()
            && !reading.set_aside
            && reading.state.stands_alike(&job.now)
        {
            put(&reading.red, Some(reading), Some(index));
        }
    }
    if let Some(point) = &model.selection.point
        && !point.is_battery_negative()
    {
        put(point, None, None);
    }
    tags
}

/// What is read and what should be read, both in volts where one would be in volts and the other in thousandths.
fn in_one_unit(
    reading: Option<&Reading>,
    should: Option<&PointFinding>,
) -> (Option<String>, Option<String>) {
    let reads = reading.map(names::shown);
    let expected = should.map(|f| names::should(f.healthy.mean, f.hinges, Unit::Volts));
    let texts = || reads.iter().chain(&expected);
    // Nought is nought in every unit.
    let volts = |text: &&String| text.ends_with(" V") && *text != "0 V";
    let thousandths = |text: &&String| text.contains(" mV") || text.contains(" µV");
    if !(texts().any(|text| volts(&text)) && texts().any(|text| thousandths(&text))) {
        return (reads, expected);
    }
    let in_volts = |value| without_prefix(value, None, Unit::Volts);
    let reads =
        reads.zip(reading).map(
            |(text, reading)| match (thousandths(&&text), reading.value) {
                (true, Value::Exactly(value)) => {
                    without_prefix(value, reading.noted_to(), Unit::Volts)
                }
                (true, Value::Between(low, high)) => {
                    format!("{} to {}", in_volts(low), in_volts(high))
                }
                _ => text,
            },
        );
    let expected =
        expected
            .zip(should)
            .map(|(text, found)| match (thousandths(&&text), found.hinges) {
                (true, Some((low, high))) => format!("{} to {}", in_volts(low), in_volts(high)),
                (true, None) => in_volts(found.healthy.mean),
                (false, _) => text,
            });
    (reads, expected)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::Predicted;

    #[test]
    fn a_pair_is_told_in_one_unit() {
        let should = |mean: f64| PointFinding {
            point: "C1.1n".parse().unwrap(),
            healthy: Predicted { mean, sd: 0.01 },
            hinges: None,
            suspected: None,
        };
        let pair = |reads: f64, step: Option<f64>, mean: f64| {
            let mut reading = Reading::volts("C1.1n".parse().unwrap(), reads);
            reading.step = step;
            let (reads, should) = in_one_unit(Some(&reading), Some(&should(mean)));
            (reads.unwrap(), should.unwrap())
        };
        let texts = |reads: &str, should: &str| (reads.to_owned(), should.to_owned());
        assert_eq!(pair(0.8, None, 12.0), texts("0.800 V", "12.0 V"));
        assert_eq!(pair(0.8204, Some(1e-4), 12.0), texts("0.8204 V", "12.0 V"));
        assert_eq!(pair(12.1, None, 0.663), texts("12.1 V", "0.663 V"));
        assert_eq!(pair(0.8, None, 0.663), texts("800 mV", "663 mV"));
        assert_eq!(pair(0.0004, None, 12.0), texts("0.00040 V", "12.0 V"));
        assert_eq!(pair(0.8, Some(1e-300), 12.0), texts("0.800 V", "12.0 V"));
        assert_eq!(pair(0.0123, None, 0.0), texts("12.3 mV", "0 V"));
    }
}
