//! What is seen instead of read: whether a module answers, how a connector stands that nobody knows of.

use super::{Ask, Asked, plan::Sight, price, sights::barred, ways::Ways};
use crate::{
    infer::{gauss::normal_cdf, lower::Model},
    reading::{Entry, SIGNS},
};

/// Chance to take a connector for what it is not.
const MISSEEN: f64 = 0.01;

/// Chances that a module is silent and that it answers, with so many volts at its feed under each way, and the volts
/// between the two.
pub(super) fn scan(model: &Model, mean: &[f64], sd: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let scan = &SIGNS.scan;
    let nominal = (model.sources.first()).map_or(model.most_volts, |source| source.volts.0);
    let (at, width) = (scan.works_from.0 * nominal, scan.works_from.1 * nominal);
    let answers: Vec<f64> = (mean.iter().zip(sd))
        .map(|(mean, sd)| {
            let works = normal_cdf((mean - at) / sd.hypot(width));
            let answers = (1.0 - scan.answers_doubt) * works + scan.answers_doubt * 0.5;
            let silent = (1.0 - scan.silent_doubt) * (1.0 - works) + scan.silent_doubt;
            answers / (answers + silent)
        })
        .collect();
    let mut likely: Vec<f64> = answers.iter().map(|p| 1.0 - p).collect();
    likely.extend(answers);
    (likely, vec![at])
}

/// Adds a sight for every connector that nobody knows of and that stood so for a reading: how it is now is how it was.
pub(super) fn unknown(ask: &Ask<'_>, ways: &Ways<'_>, sights: &mut Vec<Sight>) -> Vec<Asked> {
    let barred = barred(ask.circuit, ask.out_of_reach);
    let mut asked = Vec::new();
    for connector in ask.now.unknown.iter().filter(|id| !barred.contains(*id)) {
        let is_unknown = |entry: &Entry| {
            entry
                .used()
                .is_some_and(|reading| reading.state.unknown.contains(connector))
        };
        let last = ask.noted.iter().rposition(is_unknown);
        let (Some(last), Some(minutes)) = (last, price::check(ask.circuit, connector)) else {
            continue;
        };
        // Chance that it is parted, under each way.
        let parted: Vec<f64> = (ways.ways.iter())
            .map(|way| {
                let index = ways.roots[way.root].index;
                let stood = index.and_then(|index| ask.ways.get(*ask.stood.get(index)?)?.get(last));
                match stood.and_then(Entry::used) {
                    Some(reading) if reading.state.unplugged.contains(connector) => 1.0 - MISSEEN,
                    Some(_) => MISSEEN,
                    None => 0.5,
                }
            })
            .collect();
        let mut likely: Vec<f64> = parted.iter().map(|p| 1.0 - p).collect();
        likely.extend(parted);
        sights.push(Sight {
            state: 0,
            minutes,
            likely,
        });
        asked.push(Asked::Check {
            connector: connector.clone(),
        });
    }
    asked
}
