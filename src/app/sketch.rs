//! Commands on the sketch, as data.

use super::{clip::Clip, parts_list::NewSensor, words};
use crate::{
    circuit::{
        Circuit, Connector, DamageZone, Fuse, Ground, Load, Point, Rail, Splice, Supply, Wire,
        edit::{Addition, Inline},
    },
    quantity::{Unit, format::as_read},
};

/// A part with all that is noted of it.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    missing_docs,
    reason = "the variants are the classes of part of a circuit"
)]
pub enum PartData {
    Supply(Supply),
    Wire(Wire),
    Connector(Connector),
    Splice(Splice),
    Ground(Ground),
    Fuse(Fuse),
    Load(Load),
    Rail(Rail),
}

impl PartData {
    /// Its designation.
    pub fn id(&self) -> &str {
        match self {
            Self::Supply(part) => &part.id,
            Self::Wire(part) => &part.id,
            Self::Connector(part) => &part.id,
            Self::Splice(part) => &part.id,
            Self::Ground(part) => &part.id,
            Self::Fuse(part) => &part.id,
            Self::Load(part) => &part.id,
            Self::Rail(part) => &part.id,
        }
    }

    /// A copy of a part of a circuit.
    pub fn of(circuit: &Circuit, id: &str) -> Option<Self> {
        use crate::circuit::PartRef;
        Some(match circuit.part(id)? {
            PartRef::Supply(part) => Self::Supply(part.clone()),
            PartRef::Wire(part) => Self::Wire(part.clone()),
            PartRef::Connector(part) => Self::Connector(part.clone()),
            PartRef::Splice(part) => Self::Splice(part.clone()),
            PartRef::Ground(part) => Self::Ground(part.clone()),
            PartRef::Fuse(part) => Self::Fuse(part.clone()),
            PartRef::Load(part) => Self::Load(part.clone()),
            PartRef::Rail(part) => Self::Rail(part.clone()),
        })
    }

    /// What people call it; none for a part that has no such name.
    pub fn called(&self) -> Option<&str> {
        match self {
            Self::Supply(part) => Some(&part.name),
            Self::Connector(part) => Some(&part.name),
            Self::Load(part) => Some(&part.name),
            Self::Rail(part) => Some(&part.name),
            Self::Wire(_) | Self::Splice(_) | Self::Ground(_) | Self::Fuse(_) => None,
        }
    }

    /// Lets people call it something else; nothing happens to a part that has no such name.
    pub(super) fn call(&mut self, called: &str) {
        let name = match self {
            Self::Supply(part) => &mut part.name,
            Self::Connector(part) => &mut part.name,
            Self::Load(part) => &mut part.name,
            Self::Rail(part) => &mut part.name,
            Self::Wire(_) | Self::Splice(_) | Self::Ground(_) | Self::Fuse(_) => return,
        };
        called.clone_into(name);
    }

    /// Adds it behind the parts of its class.
    pub(super) fn put_into(self, circuit: &mut Circuit) {
        match self {
            Self::Supply(part) => circuit.supplies.push(part),
            Self::Wire(part) => circuit.wires.push(part),
            Self::Connector(part) => circuit.connectors.push(part),
            Self::Splice(part) => circuit.splices.push(part),
            Self::Ground(part) => circuit.grounds.push(part),
            Self::Fuse(part) => circuit.fuses.push(part),
            Self::Load(part) => circuit.loads.push(part),
            Self::Rail(part) => circuit.rails.push(part),
        }
    }

    /// Takes the place of the part of its class with its designation; answers whether there is one.
    pub(super) fn replace_in(&self, circuit: &mut Circuit) -> bool {
        macro_rules! put {
            ($($class:ident in $list:ident),*) => {
                match self {
                    $(Self::$class(new) => circuit
                        .$list
                        .iter_mut()
                        .find(|old| old.id == new.id)
                        .map(|old| old.clone_from(new)),)*
                }
            };
        }
        put!(
            Supply in supplies, Wire in wires, Connector in connectors, Splice in splices,
            Ground in grounds, Fuse in fuses, Load in loads, Rail in rails
        )
        .is_some()
    }
}

/// Changes the designation of a part, and the points that it names.
pub(super) fn edit_part(
    part: &mut PartData,
    id: &mut dyn FnMut(&mut String),
    point: &mut dyn FnMut(&mut Point),
) {
    match part {
        PartData::Supply(part) => id(&mut part.id),
        PartData::Connector(part) => id(&mut part.id),
        PartData::Splice(part) => id(&mut part.id),
        PartData::Fuse(part) => id(&mut part.id),
        PartData::Rail(part) => id(&mut part.id),
        PartData::Wire(part) => {
            id(&mut part.id);
            point(&mut part.from);
            point(&mut part.to);
        }
        PartData::Ground(part) => {
            id(&mut part.id);
            point(&mut part.at);
        }
        PartData::Load(part) => {
            id(&mut part.id);
            point(&mut part.feed);
            point(&mut part.ret);
        }
    }
}

/// Changes of the sketch.
#[derive(Clone, Debug, PartialEq)]
pub enum Sketch {
    /// Puts something downstream of a point.
    Add(Point, Addition),
    /// Hangs a list of sensors from a point.
    AddSensors(Point, Vec<NewSensor>),
    /// Draws a wire between two points.
    Connect(Point, Point),
    /// Adds a rail of so many volts that the feed could touch.
    AddRail(f64),
    /// Adds a module's output of so many volts.
    AddSupply(f64),
    /// Adds a pin to a connector.
    AddPin(String),
    /// Parts a wire at a fraction of its length and puts something in between.
    Insert(String, f64, Inline),
    /// Removes a part and closes the gap.
    Remove(String),
    /// Removes parts one after the other.
    RemoveAll(Vec<String>),
    /// Lets parts that were chosen together hang from another point, with all that is noted of them.
    Move(Vec<String>, Point),
    /// Notes the bundle in which wires run.
    SetBundle(Vec<String>, String),
    /// Gives a part another designation, in the log as well, and another name that people use for it.
    Rename {
        /// Designation so far.
        old: String,
        /// New one, or the same.
        new: String,
        /// What people call it; stays as it is when none.
        called: Option<String>,
    },
    /// Sets the metres of a wire, or forgets them.
    SetLength(String, Option<f64>),
    /// Pastes what was copied, hanging from a point.
    Paste(Point, Box<Clip>),
    /// Replaces all that is noted of a part, its designation apart.
    Replace(PartData),
    /// Replaces the damage zones.
    SetZones(Vec<DamageZone>),
    /// Makes the sketch what an outline says; see [`crate::circuit::outline`]. Until the gesture ends, each text is
    /// taken as a change of the sketch at its start, so that half-typed names do no harm.
    SetOutline(String),
}

impl Sketch {
    /// What the command does in plain words.
    pub(super) fn name(&self) -> String {
        match self {
            Self::Add(after, addition) => {
                let what = match addition {
                    Addition::Connector => "a connector",
                    Addition::Splice => "a splice",
                    Addition::Sensor { .. } => "a sensor",
                    Addition::Fuse => "a fuse",
                    Addition::Ground { .. } => "a ground point",
                };
                format!("Add {what} after {}", words::point(after))
            }
            Self::AddSensors(after, rows) => {
                format!("Add {} sensors after {}", rows.len(), words::point(after))
            }
            Self::Connect(from, to) => {
                format!("Wire {} to {}", words::point(from), words::point(to))
            }
            Self::AddRail(v) => format!("Add a rail of {}", as_read(*v, Unit::Volts)),
            Self::AddSupply(v) => format!("Add a module of {}", as_read(*v, Unit::Volts)),
            Self::AddPin(id) => format!("Add a pin to {id}"),
            Self::Insert(wire, _, inline) => {
                let what = match inline {
                    Inline::Connector => "a connector",
                    Inline::Splice => "a splice",
                    Inline::Fuse => "a fuse",
                };
                format!("Put {what} into {wire}")
            }
            Self::Remove(id) => format!("Remove {id}"),
            Self::RemoveAll(ids) => format!("Remove {} parts", ids.len()),
            Self::Move(ids, to) => format!("Hang {} parts from {}", ids.len(), words::point(to)),
            Self::SetBundle(_, bundle) if bundle.is_empty() => {
                "Take wires out of their bundle".to_owned()
            }
            Self::SetBundle(_, bundle) => {
                let bundle: String = bundle.chars().take(24).collect();
                format!("Bundle wires as {bundle}")
            }
            Self::Rename { old, new, .. } if old != new => format!("Rename {old} to {new}"),
            Self::Rename { old, called, .. } => {
                let called = called.as_deref().unwrap_or_default();
                let called: String = called.chars().take(24).collect();
                format!("Call {old} {called}").trim_end().to_owned()
            }
            Self::SetLength(wire, Some(m)) => {
                format!("Set {wire} to {}", as_read(*m, Unit::Metres))
            }
            Self::SetLength(wire, None) => format!("Set the length of {wire} to not known"),
            Self::Paste(at, clip) => format!("Paste {} at {}", clip.part, words::point(at)),
            Self::Replace(part) => format!("Edit {}", part.id()),
            Self::SetZones(_) => "Edit what was hit, wet or opened".to_owned(),
            Self::SetOutline(_) => "Edit the outline".to_owned(),
        }
    }

    /// Key of a drag or of typing in the fields of a part.
    pub(super) fn gesture(&self) -> Option<String> {
        match self {
            Self::SetLength(wire, _) => Some(format!("length {wire}")),
            Self::Replace(part) => Some(format!("part {}", part.id())),
            Self::SetZones(_) => Some("zones".to_owned()),
            Self::SetOutline(_) => Some(OUTLINE.to_owned()),
            _ => None,
        }
    }
}

/// Gesture key of typing in the outline.
pub(super) const OUTLINE: &str = "outline";

/// Nominal volts that are offered for a quick start.
pub const NOMINALS: [f64; 4] = [5.0, 8.0, 9.0, 12.0];
