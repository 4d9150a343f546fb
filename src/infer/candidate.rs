//! Every single fault that the sketch allows, with its prior weight.

use super::{
    lower::{JOINED, Model, Role},
    solve::{Effect, Fault},
    union::Union,
    weigh::SizePrior,
};
use crate::{
    circuit::{Circuit, MOST_SUPPLIES, Point, Terminal},
    fault::{FaultKind, PRIORS, Site},
    network::Port,
    quantity::units::as_ohms,
};

/// Parts of a wire that are looked at separately.
pub const STRETCHES: usize = 3;
/// Most pairs of wires that are considered for touching each other.
const TOUCHING: usize = 400;

/// One possible fault.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Thing that has it.
    pub site: Site,
    /// What is wrong with it.
    pub kind: FaultKind,
    /// What it does to the network.
    pub effect: Effect,
    /// Prior weight; see the table.
    pub weight: f64,
    /// Prior of the logarithm of its size, if it has one.
    pub size: Option<SizePrior>,
    /// Wire and stretch of it.
    pub stretch: Option<(usize, usize)>,
    /// Repairs after which it appeared and before which it was there.
    pub life: (usize, usize),
    /// What looking at its place without finding anything says against it: natural logarithms, one for each cell of its
    /// stretch or a single one; none where nobody looked.
    pub looked: Vec<f64>,
}

impl Candidate {
    /// The fault at a given logarithm of size.
    pub fn fault(&self, log_size: f64) -> Fault {
        Fault {
            effect: self.effect,
            log_size,
            from: self.life.0,
            until: self.life.1,
        }
    }

    /// What looking at its place says against it, where it sits at no place along a wire.
    pub fn looked(&self) -> f64 {
        let whole = self.looked.first().filter(|_| self.stretch.is_none());
        whole.copied().unwrap_or(0.0)
    }

    /// The same short at another fraction of its wire; itself where it has no place along a wire.
    pub fn at(&self, model: &Model, x: f64) -> Effect {
        let element = self
            .stretch
            .and_then(|(wire, _)| model.elements.iter().find(|e| e.role == Role::Wire(wire)));
        match element {
            None => self.effect,
            Some(element) => Effect::Shunt {
                port: Port::along(element.a, element.b, x, model.pattern.nodes),
                inner: x * (1.0 - x) / element.siemens,
            },
        }
    }

    /// Fractions of the wire between which its stretch runs.
    pub fn ends(&self) -> Option<(f64, f64)> {
        let (_, stretch) = self.stretch?;
        let width = 1.0 / STRETCHES as f64;
        Some((stretch as f64 * width, (stretch + 1) as f64 * width))
    }
}

/// Lists the candidates in a fixed order.
pub fn candidates(circuit: &Circuit, model: &Model) -> Vec<Candidate> {
    let mut list = List {
        circuit,
        model,
        nets: nets(model),
        found: Vec::new(),
    };
    list.wires();
    list.pins();
    list.joints();
    list.loads();
    list.supplies();
    list.rails();
    list.touching();
    let mut found = list.found;
    for candidate in &mut found {
        for zone in &circuit.damage_zones {
            if zone.factor > 0.0 && zone.covers(circuit, &candidate.site.part) {
                candidate.weight *= zone.factor;
            }
        }
    }
    let mut all = with_repairs(model, found);
    for candidate in &mut all {
        candidate.looked = model.looked(circuit, candidate);
    }
    all
}

/// A repaired part's fault is gone from then on; it may also have been missed, or come back with the new part.
fn with_repairs(model: &Model, found: Vec<Candidate>) -> Vec<Candidate> {
    /// Chance that a repair missed the fault of the part it was made on (judgement).
    const MISSED: f64 = 0.1;
    let mut all = Vec::with_capacity(found.len());
    for candidate in found {
        let Some(repair) = model
            .repairs
            .iter()
            .rposition(|part| *part == candidate.site.part)
        else {
            all.push(candidate);
            continue;
        };
        let mut gone = candidate.clone();
        gone.life = (0, repair);
        let mut missed = candidate.clone();
        missed.weight *= MISSED;
        let mut again = candidate;
        again.life = (repair + 1, usize::MAX);
        all.extend([gone, missed, again]);
    }
    all
}

/// Which net each node belongs to: nodes joined by anything that is not a load or a rail.
fn nets(model: &Model) -> Vec<usize> {
    let mut union = Union::new(model.pattern.nodes + 1);
    for element in &model.elements {
        let joins = match element.role {
            Role::Wire(_) | Role::Pin(..) | Role::Strap(_) | Role::Fuse(_) => true,
            Role::Inner => element.siemens > JOINED,
            Role::Load(_) | Role::Rail(_) => false,
        };
        if joins {
            union.join(element.a, element.b);
        }
    }
    union.roots()
}

struct List<'a> {
    circuit: &'a Circuit,
    model: &'a Model,
    nets: Vec<usize>,
    found: Vec<Candidate>,
}

impl List<'_> {
    fn push(&mut self, site: Site, kind: FaultKind, effect: Effect, weight: f64) {
        let decades = std::f64::consts::LN_10;
        let size = match kind {
            FaultKind::ShortToGround
            | FaultKind::ShortToRail
            | FaultKind::ShortBetween
            | FaultKind::DrawsTooMuch
            | FaultKind::UndrawnShort => {
                Some((PRIORS.short_ohm.0.ln(), PRIORS.short_ohm.1 * decades))
            }
            FaultKind::HighResistance => {
                Some((PRIORS.series_ohm.0.ln(), PRIORS.series_ohm.1 * decades))
            }
            FaultKind::SignalStuck => Some((PRIORS.stuck_ohm.0.ln(), PRIORS.stuck_ohm.1 * decades)),
            FaultKind::SupplyLow => Some(PRIORS.supply_low_log),
            FaultKind::LimitsEarly => Some(PRIORS.limits_early_log),
            FaultKind::Open | FaultKind::DrawsNothing | FaultKind::SupplyDead => None,
        };
        let life = (0, usize::MAX);
        self.found.push(Candidate {
            site,
            kind,
            effect,
            weight,
            size,
            stretch: None,
            life,
            looked: Vec::new(),
        });
    }

    fn ground(&self) -> usize {
        self.model.pattern.nodes
    }

    /// A net that is tied to ground or is a supply's return: a short to ground does nothing there.
    fn is_return(&self, node: usize) -> bool {
        let net = self.nets[node];
        net == self.nets[self.ground()]
            || self.model.sources.iter().any(|s| self.nets[s.ret] == net)
    }

    fn short(&mut self, site: Site, node: usize, weight: f64) {
        if !self.is_return(node) {
            let port = Port::between(node, self.ground());
            self.push(
                site,
                FaultKind::ShortToGround,
                Effect::Shunt { port, inner: 0.0 },
                weight,
            );
        }
    }

    fn wires(&mut self) {
        for (index, wire) in self.circuit.wires.iter().enumerate() {
            let Some(row) = self
                .model
                .elements
                .iter()
                .position(|e| e.role == Role::Wire(index))
            else {
                continue;
            };
            let element = self.model.elements[row];
            let length = wire.length_or_assumed().max(0.02);
            if !self.is_return(element.a) {
                for stretch in 0..STRETCHES {
                    let x = (stretch as f64 + 0.5) / STRETCHES as f64;
                    let port = Port::along(element.a, element.b, x, self.ground());
                    let effect = Effect::Shunt {
                        port,
                        inner: x * (1.0 - x) / element.siemens,
                    };
                    let weight = (PRIORS.short_per_wire + PRIORS.short_per_metre * length)
                        / STRETCHES as f64;
                    self.push(
                        Site::part(&wire.id),
                        FaultKind::ShortToGround,
                        effect,
                        weight,
                    );
                    if let Some(last) = self.found.last_mut() {
                        last.stretch = Some((index, stretch));
                    }
                }
            }
            let site = Site::part(&wire.id);
            self.push(
                site.clone(),
                FaultKind::Open,
                Effect::Cut(row),
                PRIORS.open_per_wire,
            );
            self.push(
                site,
                FaultKind::HighResistance,
                Effect::Series(row),
                PRIORS.high_resistance_per_wire,
            );
        }
    }

    fn pins(&mut self) {
        for (row, element) in self.model.elements.iter().enumerate() {
            let Role::Pin(connector, pin) = element.role else {
                continue;
            };
            let site = Site::pin(&self.circuit.connectors[connector].id, pin as u8 + 1);
            self.short(site.clone(), element.a, PRIORS.short_per_pin);
            self.short(site.clone(), element.b, PRIORS.short_per_pin);
            self.push(
                site.clone(),
                FaultKind::Open,
                Effect::Cut(row),
                PRIORS.open_per_pin,
            );
            self.push(
                site,
                FaultKind::HighResistance,
                Effect::Series(row),
                PRIORS.high_resistance_per_pin,
            );
        }
    }

    fn joints(&mut self) {
        for splice in &self.circuit.splices {
            if let Some(&node) = self
                .model
                .nodes
                .get(&Point::new(&splice.id, Terminal::Only))
            {
                self.short(Site::part(&splice.id), node, PRIORS.short_per_splice);
                self.undrawn(&splice.id, node, splice.more_members);
            }
        }
        for (row, element) in self.model.elements.iter().enumerate() {
            let (id, open) = match element.role {
                Role::Strap(index) => (&self.circuit.grounds[index].id, PRIORS.ground_open),
                Role::Fuse(index) => (&self.circuit.fuses[index].id, PRIORS.fuse_open),
                _ => continue,
            };
            self.push(Site::part(id), FaultKind::Open, Effect::Cut(row), open);
            self.push(
                Site::part(id),
                FaultKind::HighResistance,
                Effect::Series(row),
                PRIORS.ground_bad,
            );
        }
    }

    fn undrawn(&mut self, id: &str, node: usize, marked: bool) {
        if !self.is_return(node) {
            let factor = if marked {
                PRIORS.undrawn_member_marked
            } else {
                1.0
            };
            let port = Port::between(node, self.ground());
            let effect = Effect::Shunt { port, inner: 0.0 };
            self.push(
                Site::part(id),
                FaultKind::UndrawnShort,
                effect,
                PRIORS.undrawn_member * factor,
            );
        }
    }

    fn loads(&mut self) {
        for (row, element) in self.model.elements.iter().enumerate() {
            let Role::Load(index) = element.role else {
                continue;
            };
            let site = Site::part(&self.circuit.loads[index].id);
            let tap = Point::new(&site.part, Terminal::Signal);
            if let Some(&tap) = self.model.nodes.get(&tap) {
                for end in [element.b, element.a] {
                    let port = Port::between(tap, end);
                    self.push(
                        site.clone(),
                        FaultKind::SignalStuck,
                        Effect::Shunt { port, inner: 0.0 },
                        0.5 * PRIORS.signal_stuck,
                    );
                }
            }
            let port = Port::between(element.a, element.b);
            let shunt = Effect::Shunt { port, inner: 0.0 };
            self.push(
                site.clone(),
                FaultKind::DrawsTooMuch,
                shunt,
                PRIORS.short_in_load,
            );
            self.push(
                site,
                FaultKind::DrawsNothing,
                Effect::Cut(row),
                PRIORS.load_draws_nothing,
            );
        }
    }

    fn supplies(&mut self) {
        for (index, supply) in (self.circuit.supplies.iter().enumerate()).take(MOST_SUPPLIES) {
            let site = Site::part(&supply.id);
            self.push(
                site.clone(),
                FaultKind::SupplyDead,
                Effect::Dead(index),
                PRIORS.supply_dead,
            );
            self.push(
                site.clone(),
                FaultKind::SupplyLow,
                Effect::Weak(index),
                PRIORS.supply_low,
            );
            if self.model.sources[index].limit.is_finite() {
                self.push(
                    site,
                    FaultKind::LimitsEarly,
                    Effect::Early(index),
                    PRIORS.limits_early,
                );
            }
            let feed = self.model.sources[index].feed;
            self.undrawn(&supply.id, feed, supply.more_members);
        }
    }

    fn rails(&mut self) {
        for rail in &self.circuit.rails {
            let Some(&to) = self.model.nodes.get(&Point::new(&rail.id, Terminal::Only)) else {
                continue;
            };
            for (index, wire) in self.circuit.wires.iter().enumerate() {
                let Some(element) = self
                    .model
                    .elements
                    .iter()
                    .find(|e| e.role == Role::Wire(index))
                else {
                    continue;
                };
                if self.is_return(element.a) || self.nets[element.a] == self.nets[to] {
                    continue;
                }
                let port = Port::along(element.a, element.b, 0.5, to);
                let effect = Effect::Shunt {
                    port,
                    inner: 0.25 / element.siemens,
                };
                let site = Site {
                    with: Some(rail.id.clone()),
                    ..Site::part(&wire.id)
                };
                let weight = PRIORS.short_to_rail_per_metre * wire.length_or_assumed();
                self.push(site, FaultKind::ShortToRail, effect, weight);
            }
        }
    }

    /// Wires of different nets that meet in one connector or run in one bundle.
    fn touching(&mut self) {
        let wires = &self.circuit.wires;
        let mut count = 0;
        for (i, one) in wires.iter().enumerate() {
            for (k, two) in wires.iter().enumerate().skip(i + 1) {
                let shares = (!one.bundle.is_empty() && one.bundle == two.bundle)
                    || [&one.from, &one.to].iter().any(|p| {
                        [&two.from, &two.to].iter().any(|q| {
                            p.part == q.part
                                && self.circuit.connectors.iter().any(|c| c.id == p.part)
                        })
                    });
                if !shares || count >= TOUCHING {
                    continue;
                }
                let find = |wire| {
                    self.model
                        .elements
                        .iter()
                        .find(|e| e.role == Role::Wire(wire))
                };
                let (Some(a), Some(b)) = (find(i), find(k)) else {
                    continue;
                };
                if self.nets[a.a] == self.nets[b.a] || (self.is_return(a.a) && self.is_return(b.a))
                {
                    continue;
                }
                let port = Port::along_both((a.a, a.b, 0.5), (b.a, b.b, 0.5));
                let inner = 0.25 * (as_ohms(one.resistance()) + as_ohms(two.resistance()));
                let site = Site {
                    with: Some(two.id.clone()),
                    ..Site::part(&one.id)
                };
                let length = one.length_or_assumed().min(two.length_or_assumed());
                let weight = PRIORS.short_between_per_metre * length;
                self.push(
                    site,
                    FaultKind::ShortBetween,
                    Effect::Shunt { port, inner },
                    weight,
                );
                count += 1;
            }
        }
    }
}
