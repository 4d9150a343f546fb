//! Whether a module can be accused, in words, and what stands between that and its replacement.

use super::names;
use crate::{
    diagnosis::{Gate, ModuleVerdict, SupplyFinding, supply::Narrowed},
    quantity::{
        Unit,
        format::{as_read, interval},
    },
};

/// One sentence.
pub fn verdict(verdict: &ModuleVerdict) -> String {
    match verdict {
        ModuleVerdict::Cleared {
            supply,
            entry,
            volts,
        } => format!(
            "{supply} is not accused: with the harness off, its pin read {} (line {}).",
            as_read(*volts, Unit::Volts),
            entry + 1
        ),
        ModuleVerdict::NotTested {
            supply,
            members: true,
            ..
        } => format!(
            "{supply} cannot be accused yet: it may feed members that are not drawn; find them, or read its pin with its own connector off."
        ),
        ModuleVerdict::NotTested {
            supply,
            unplug,
            still_on,
            ..
        } if !still_on.is_empty() => format!(
            "{supply} cannot be accused yet: its pin read wrong with {} unplugged, but {} hung on it; rule that out with ohms, the supply off.",
            names::list(unplug, "and"),
            names::list(still_on, "and")
        ),
        ModuleVerdict::NotTested { supply, unplug, .. } if unplug.is_empty() => {
            format!("{supply} cannot be accused yet: its pin was not read alone.")
        }
        ModuleVerdict::NotTested { supply, unplug, .. } => format!(
            "{supply} cannot be accused yet: read its pin alone, with {} unplugged.",
            unplug.join(" ")
        ),
        ModuleVerdict::Accused {
            supply,
            entry,
            before_replacing,
        } => {
            let steps: Vec<&str> = before_replacing
                .iter()
                .map(|gate| gate_words(*gate))
                .collect();
            format!(
                "{supply} is accused: with the harness off, its pin read wrong (line {}). Before it is replaced: {}.",
                entry + 1,
                names::list(&steps, "and")
            )
        }
    }
}

fn gate_words(gate: Gate) -> &'static str {
    match gate {
        Gate::ReadAgain => "cycle the key, wait and read its pin alone once more",
        Gate::ProveMeter => "prove the meter and its leads on the battery",
        Gate::LoadPowersAndGrounds => "load its own powers and grounds",
    }
}

/// What the readings have narrowed of a supply, in a sentence; nothing where they narrowed nothing.
pub fn narrowed(finding: &SupplyFinding) -> Option<String> {
    let one = |what: &str, parameter: &Narrowed, unit: Unit| {
        parameter.narrowed.then(|| {
            let now = interval(parameter.now.low, parameter.now.high, unit);
            let stated = interval(parameter.stated.low, parameter.stated.high, unit);
            format!("{what} {now} (stated {stated})")
        })
    };
    let parts: Vec<String> = [
        one("gives", &finding.volts, Unit::Volts),
        one("source", &finding.source_ohm, Unit::Ohms),
        (finding.limit_a.as_ref()).and_then(|limit| one("limit", limit, Unit::Amperes)),
        (finding.short_circuit_a.as_ref())
            .and_then(|limit| one("into a dead short", limit, Unit::Amperes)),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!parts.is_empty()).then(|| format!("{}: {}.", finding.supply, parts.join(", ")))
}
