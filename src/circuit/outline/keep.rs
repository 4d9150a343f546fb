//! Keeping what an outline cannot say when an edited one is read back.

use std::collections::{HashMap, HashSet};

use uom::si::{Dimension, Quantity, SI};

use super::words::one_line;
use crate::circuit::{Circuit, ConductorSize, DamageZone, Load, LoadModel, Supply, Wire, stock};

/// Numbers closer than this, relatively, are one number that went through text with ten digits.
const SAME: f64 = 1e-9;

/// Puts back into a circuit that was read what an outline does not carry, for every designation of the same class in
/// the old one. Old parts come first, in their old order.
pub(super) fn keep(old: &Circuit, mut new: Circuit) -> Circuit {
    merge(&old.supplies, &mut new.supplies, |part| &part.id, supply);
    merge(&old.wires, &mut new.wires, |part| &part.id, wire);
    merge(
        &old.connectors,
        &mut new.connectors,
        |part| &part.id,
        |was, now| {
            was.pins.resize(now.pins.len(), stock::pin());
            was.access = nearer(was.access, now.access);
            was.sealed = now.sealed;
            keep_name(&mut was.name, &now.name);
        },
    );
    merge(
        &old.splices,
        &mut new.splices,
        |part| &part.id,
        |was, now| was.more_members = now.more_members,
    );
    merge(
        &old.grounds,
        &mut new.grounds,
        |part| &part.id,
        |was, now| {
            was.at = now.at.clone();
            was.strap = nearer(was.strap, now.strap);
        },
    );
    merge(
        &old.fuses,
        &mut new.fuses,
        |part| &part.id,
        |was, now| was.rated = nearer(was.rated, now.rated),
    );
    merge(&old.loads, &mut new.loads, |part| &part.id, load);
    merge(
        &old.rails,
        &mut new.rails,
        |part| &part.id,
        |was, now| {
            was.potential = nearer(was.potential, now.potential);
            was.source = nearer(was.source, now.source);
            keep_name(&mut was.name, &now.name);
        },
    );
    new.damage_zones = zones(old, &new);
    new
}

fn supply(was: &mut Supply, now: &Supply) {
    was.nominal = nearer(was.nominal, now.nominal);
    was.tolerance_percent = now.tolerance_percent;
    was.source = nearer_option(was.source, now.source);
    keep_name(&mut was.name, &now.name);
    was.feed_pins = now.feed_pins;
    was.latches = now.latches;
    was.more_members = now.more_members;
}

fn wire(was: &mut Wire, now: &Wire) {
    // A walk may pass a wire against its drawn direction; metres along it count from where they did.
    if !was.joins(&now.from, &now.to) {
        (was.from, was.to) = (now.from.clone(), now.to.clone());
    }
    was.length = nearer_option(was.length, now.length);
    was.size = match (was.size, now.size) {
        (ConductorSize::SquareMillimetres(was), ConductorSize::SquareMillimetres(now)) => {
            ConductorSize::SquareMillimetres(nearer(was, now))
        }
        (_, now) => now,
    };
    was.colour = now.colour;
}

fn load(was: &mut Load, now: &Load) {
    (was.feed, was.ret) = (now.feed.clone(), now.ret.clone());
    was.model = match (was.model, now.model) {
        (LoadModel::Resistive { resistance: was }, LoadModel::Resistive { resistance: now }) => {
            LoadModel::Resistive {
                resistance: nearer(was, now),
            }
        }
        (LoadModel::Electronic { draw: d, knee: k }, LoadModel::Electronic { draw, knee }) => {
            LoadModel::Electronic {
                draw: nearer(d, draw),
                knee: nearer(k, knee),
            }
        }
        (_, now) => now,
    };
    was.spread_percent = now.spread_percent;
    was.signal_fraction = now.signal_fraction;
    keep_name(&mut was.name, &now.name);
}

/// The old damage zones without the parts that are gone.
fn zones(old: &Circuit, new: &Circuit) -> Vec<DamageZone> {
    let before: HashSet<&str> = old.ids().collect();
    let after: HashSet<&str> = new.ids().collect();
    let zones = old.damage_zones.iter().filter_map(|zone| {
        let mut zone = zone.clone();
        let named = zone.parts.len();
        zone.parts
            .retain(|part| !before.contains(part.as_str()) || after.contains(part.as_str()));
        (named == 0 || !zone.parts.is_empty()).then_some(zone)
    });
    zones.collect()
}

/// Replaces every new part that was there before by the old one as `renew` brings it up to date, and sorts.
fn merge<T: Clone>(
    old: &[T],
    new: &mut [T],
    id: impl Fn(&T) -> &String,
    renew: impl Fn(&mut T, &T),
) {
    let before: HashMap<&String, usize> = old
        .iter()
        .enumerate()
        .map(|(at, part)| (id(part), at))
        .collect();
    for now in new.iter_mut() {
        if let Some(at) = before.get(id(now)) {
            let mut was = old[*at].clone();
            renew(&mut was, now);
            *now = was;
        }
    }
    new.sort_by_key(|part| before.get(id(part)).copied().unwrap_or(usize::MAX));
}

/// The old quantity where the new one is the same but for the digits that a text carries.
fn nearer<D: Dimension + ?Sized>(
    was: Quantity<D, SI<f64>, f64>,
    now: Quantity<D, SI<f64>, f64>,
) -> Quantity<D, SI<f64>, f64> {
    if (was.value - now.value).abs() <= SAME * now.value.abs() {
        was
    } else {
        now
    }
}

fn nearer_option<D: Dimension + ?Sized>(
    was: Option<Quantity<D, SI<f64>, f64>>,
    now: Option<Quantity<D, SI<f64>, f64>>,
) -> Option<Quantity<D, SI<f64>, f64>> {
    match (was, now) {
        (Some(was), Some(now)) => Some(nearer(was, now)),
        (_, now) => now,
    }
}

/// Takes a new name unless it is the old one on one line.
fn keep_name(was: &mut String, now: &str) {
    if one_line(was) != now {
        now.clone_into(was);
    }
}
