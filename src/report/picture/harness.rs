//! The harness to scale: lanes of wires in their colours, parts, suspicion along the wires, what was read where.

use super::{
    Anchor, At, Ink, Pen, Picture,
    marks::{Taken, named, rings, suspicion, swellings},
    volts::{self, volts},
};
use crate::{
    circuit::{Circuit, Point},
    diagnosis::{Findings, Question},
    drawing::{
        Group, Harness, PartKind, Place, PlacedPart, Run, layout,
        profile::{Taken as When, profile},
        shade,
    },
    explain::names,
    quantity::{
        Unit,
        format::{as_read, si},
        units::as_volts,
    },
    reading::Entry,
    report::face::{fitted, width},
};

/// Room left of the metres, for the supply's box and the volts of the axis.
pub(super) const LEFT: f32 = 56.0;
/// Room right of the metres, for the box and the name of a load.
pub(super) const RIGHT: f32 = 104.0;
/// Room above the lanes, for the metres.
const TOP: f32 = 24.0;
/// Most and least height of a lane, with room for a name over a part and what it reads under it, and what the lanes may
/// take together as long as they have that.
const LANE: (f32, f32) = (40.0, 28.0);
const LANES: f32 = 430.0;
/// Half height of a connector's brackets.
const BRACKET: f32 = 6.5;
/// Size of small words.
pub(super) const SMALL: f32 = 6.4;

/// How metres and lanes lie on the paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    /// Points per metre.
    pub per_metre: f32,
    lowest: i32,
    /// Height of a lane.
    pub lane: f32,
    /// Width in all.
    pub width: f32,
}

impl Scale {
    /// Where a metre lies.
    pub fn x(&self, metres: f64) -> f32 {
        LEFT + metres as f32 * self.per_metre
    }

    /// Where a lane lies.
    pub fn y(&self, lane: i32) -> f32 {
        TOP + ((lane - self.lowest) as f32 + 0.5) * self.lane
    }

    /// Where a place lies.
    pub fn at(&self, place: Place) -> At {
        (self.x(place.x), self.y(place.lane))
    }
}

/// Everything that is drawn from.
pub(super) struct Sheet<'a> {
    pub question: &'a Question<'a>,
    pub findings: &'a Findings,
    pub harness: &'a Harness,
    pub scale: Scale,
}

impl Sheet<'_> {
    fn circuit(&self) -> &Circuit {
        self.question.circuit
    }

    /// Where a part's symbol stands.
    pub fn symbol(&self, id: &str) -> Option<At> {
        Some(self.scale.at(self.harness.part(id)?.at))
    }
}

/// The harness and the voltage along it, of a width in points, in the state of the question. `repaired` are marked.
pub fn harness(
    question: &Question<'_>,
    findings: &Findings,
    repaired: &[String],
    width: f32,
) -> Picture {
    let longest = layout(question.circuit, 0.0).x_max.max(0.5);
    let per_metre = (width - LEFT - RIGHT).max(40.0) / longest as f32;
    let harness = layout(question.circuit, f64::from(RIGHT / per_metre));
    let (low, high) = harness.lane_range();
    let lanes = (high - low + 1).max(1) as f32;
    let scale = Scale {
        per_metre,
        lowest: low,
        lane: (LANES / lanes).clamp(LANE.1, LANE.0),
        width,
    };
    let sheet = Sheet {
        question,
        findings,
        harness: &harness,
        scale,
    };
    let bottom = TOP + lanes * scale.lane + 14.0;
    let mut picture = Picture {
        width,
        height: bottom,
        whole_from: bottom,
        spoken: spoken(&sheet),
        ..Picture::default()
    };
    let mut taken = Taken::none(width, scale.lane);
    metres(&mut picture, &sheet, bottom, &mut taken);
    swellings(&mut picture, &sheet, &mut taken);
    for run in &harness.runs {
        wire(&mut picture, &sheet, run, &mut taken);
    }
    legs(&mut picture, &sheet);
    for part in &harness.parts {
        symbol(&mut picture, &sheet, part, &mut taken);
    }
    rings(&mut picture, &sheet, &mut taken);
    named(&mut picture, &sheet, repaired, &mut taken);
    read(&mut picture, &sheet, &mut taken);
    part_names(&mut picture, &sheet, &mut taken);
    wire_names(&mut picture, &sheet, &mut taken);
    let profile = profile(question, &harness, Some(findings));
    volts(&mut picture, &scale, &profile, longest);
    picture
}

fn spoken(sheet: &Sheet<'_>) -> String {
    let listed: Vec<String> = suspicion(sheet.findings)
        .iter()
        .map(|(suspect, chance)| format!("{} {chance}", names::label(sheet.circuit(), suspect)))
        .collect();
    let suspects = if listed.is_empty() {
        "no suspects".to_owned()
    } else {
        format!("suspects: {}", listed.join("; "))
    };
    format!(
        "The harness drawn to scale, {} wires over {:.1} m; {suspects}.",
        sheet.harness.runs.len(),
        sheet.harness.x_max
    )
}

/// Upright lines at whole metres, or at every fifth where they would stand too close.
fn metres(picture: &mut Picture, sheet: &Sheet<'_>, bottom: f32, taken: &mut Taken) {
    let scale = &sheet.scale;
    let longest = ((scale.width - RIGHT - LEFT) / scale.per_metre).max(0.0);
    let step = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .find(|step| step * scale.per_metre >= 26.0)
        .unwrap_or(100.0);
    let count = (longest / step).floor() as usize;
    for k in 0..=count.min(200) {
        let metres = k as f32 * step;
        let x = scale.x(f64::from(metres));
        picture.line(
            [(x, TOP - 8.0), (x, bottom + volts::HEIGHT + volts::GAP)],
            Pen::full(Ink::Grid, 0.5),
        );
        let (at, text) = ((x, TOP - 11.0), format!("{metres} m"));
        taken.words(at, &text, SMALL, Anchor::Middle);
        picture.words(at, Anchor::Middle, SMALL, Ink::Muted, text);
    }
}

fn path(sheet: &Sheet<'_>, run: &Run) -> Vec<At> {
    run.corners.iter().map(|&at| sheet.scale.at(at)).collect()
}

fn wire(picture: &mut Picture, sheet: &Sheet<'_>, run: &Run, taken: &mut Taken) {
    let path = path(sheet, run);
    let colour = sheet.circuit().wires.get(run.wire).and_then(|w| w.colour);
    let pen = |ink, width| {
        if run.assumed {
            Pen::dashed(ink, width, 7.0, 3.0)
        } else {
            Pen::full(ink, width)
        }
    };
    picture.line(path.clone(), pen(Ink::Ink, 3.0));
    if let Some(colour) = colour {
        let base = Ink::Insulation(shade::insulation(colour.base));
        picture.line(path.clone(), pen(base, 1.8));
        if let Some(stripe) = colour.stripe {
            let stripe = Ink::Insulation(shade::insulation(stripe));
            picture.line(path.clone(), Pen::dashed(stripe, 1.8, 4.0, 8.0));
        }
    }
    for pair in path.windows(2) {
        taken.along(pair[0], pair[1], 2.0);
    }
}

/// Fine lines: a load down to its return, and the pins of one housing to each other.
fn legs(picture: &mut Picture, sheet: &Sheet<'_>) {
    let fine = Pen::dashed(Ink::Muted, 0.6, 1.5, 2.0);
    for load in &sheet.circuit().loads {
        let (Some(at), Some(end)) = (sheet.symbol(&load.id), sheet.harness.place(&load.ret)) else {
            continue;
        };
        let end = sheet.scale.at(end);
        if !load.ret.is_battery_negative() && end.1 > at.1 + 4.0 {
            let x = at.0 + 21.0;
            picture.line([(x, at.1 + 6.0), (x, end.1), end], fine);
        }
    }
    for part in &sheet.harness.parts {
        let places = part.pins.iter().map(|pin| sheet.scale.at(pin.near));
        let (low, high) = places
            .clone()
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), at| {
                (low.min(at.1), high.max(at.1))
            });
        let Some((x, _)) = places.into_iter().next() else {
            continue;
        };
        if high - low <= 1.0 {
            continue;
        }
        if part.kind != PartKind::Supply {
            picture.line([(x, low + BRACKET), (x, high - BRACKET)], fine);
            continue;
        }
        // From the supply's box down to each of its other pins.
        let own = sheet.scale.at(part.at).1;
        for pin in &part.pins {
            let at = sheet.scale.at(pin.near);
            if (at.1 - own).abs() > 1.0 {
                let edge = own + 12.0 * (at.1 - own).signum();
                picture.line([(x - 26.0, edge), (x - 26.0, at.1), at], fine);
            }
        }
    }
}

fn symbol(picture: &mut Picture, sheet: &Sheet<'_>, part: &PlacedPart, taken: &mut Taken) {
    let at = sheet.scale.at(part.at);
    let circuit = sheet.circuit();
    match part.kind {
        PartKind::Supply => {
            let supply = circuit.supply(&part.id);
            let volts = supply.map_or_else(String::new, |s| si(as_volts(s.nominal), Unit::Volts));
            let (from, to) = ((at.0 - 50.0, at.1 - 12.0), (at.0 - 8.0, at.1 + 12.0));
            picture.rect(from, to, Ink::Ink, None);
            picture.line([(to.0, at.1), at], Pen::full(Ink::Ink, 2.0));
            let middle = (from.0 + to.0) / 2.0;
            let id = fitted(&part.id, 8.0, true, 38.0);
            picture.bold((middle, at.1 - 1.0), Anchor::Middle, 8.0, Ink::Paper, id);
            picture.words(
                (middle, at.1 + 8.0),
                Anchor::Middle,
                SMALL,
                Ink::Paper,
                volts,
            );
            taken.area(from, to);
        }
        PartKind::Connector => {
            let plugged = !sheet.question.now.unplugged.contains(&part.id);
            for pin in &part.pins {
                connector(picture, sheet.scale.at(pin.near), plugged, taken);
            }
        }
        PartKind::Splice => {
            picture
                .shapes
                .push(super::Shape::Disc(at, 3.2, Ink::Ink, None));
            taken.area((at.0 - 4.0, at.1 - 4.0), (at.0 + 4.0, at.1 + 4.0));
        }
        PartKind::Ground => earth(picture, at),
        PartKind::Fuse => {
            let (from, to) = ((at.0 - 9.0, at.1 - 4.0), (at.0 + 9.0, at.1 + 4.0));
            picture.rect(from, to, Ink::Paper, Some(Pen::full(Ink::Ink, 1.0)));
            picture.line([(from.0, at.1), (to.0, at.1)], Pen::full(Ink::Ink, 1.0));
            taken.area(from, to);
        }
        PartKind::Load => load(picture, sheet, part, taken),
        PartKind::Rail => {
            let rail = circuit.rail(&part.id);
            let volts = rail.map_or_else(String::new, |r| si(as_volts(r.potential), Unit::Volts));
            picture.line([at, (at.0 + 14.0, at.1)], Pen::full(Ink::Ink, 2.0));
            let text = format!("{} {volts}", part.id);
            picture.bold(
                (at.0 + 17.0, at.1 + 2.4),
                Anchor::Start,
                7.0,
                Ink::Ink,
                text,
            );
            taken.area((at.0, at.1 - 5.0), (at.0 + 80.0, at.1 + 5.0));
        }
    }
}

/// Two facing brackets, well apart when unplugged.
fn connector(picture: &mut Picture, at: At, plugged: bool, taken: &mut Taken) {
    let (gap, ink) = if plugged {
        (4.5, Ink::Connector)
    } else {
        (8.0, Ink::Attention)
    };
    let bare = if plugged { 3.4 } else { 7.0 };
    picture.rect(
        (at.0 - bare, at.1 - 3.4),
        (at.0 + bare, at.1 + 3.4),
        Ink::Paper,
        None,
    );
    if plugged {
        picture.line(
            [(at.0 - 2.2, at.1), (at.0 + 2.2, at.1)],
            Pen::full(Ink::Ink, 1.6),
        );
    }
    for side in [-1.0, 1.0] {
        let x = at.0 + side * gap;
        let inner = x - side * 2.6;
        let corners = [
            (inner, at.1 - BRACKET),
            (x, at.1 - BRACKET),
            (x, at.1 + BRACKET),
            (inner, at.1 + BRACKET),
        ];
        picture.line(corners, Pen::full(ink, 1.4));
    }
    taken.area(
        (at.0 - gap - 1.0, at.1 - BRACKET - 1.0),
        (at.0 + gap + 1.0, at.1 + BRACKET + 1.0),
    );
}

/// Earth (IEC 60617): three shrinking strokes under a stem.
fn earth(picture: &mut Picture, at: At) {
    let pen = Pen::full(Ink::Ink, 1.0);
    let base = at.1 + 6.0;
    picture.line([at, (at.0, base)], pen);
    for (step, half) in [(0.0, 4.5), (2.2, 3.0), (4.4, 1.4)] {
        let y = base + step;
        picture.line([(at.0 - half, y), (at.0 + half, y)], pen);
    }
}

/// A rectangle with its designation (IEC 60617 draws any general element as a rectangle), its name behind it.
fn load(picture: &mut Picture, sheet: &Sheet<'_>, part: &PlacedPart, taken: &mut Taken) {
    let at = sheet.scale.at(part.at);
    let (from, to) = ((at.0 + 9.0, at.1 - 6.5), (at.0 + 33.0, at.1 + 6.5));
    let load = sheet.circuit().load(&part.id);
    picture.line(
        [(at.0 + 4.0, at.1), (from.0, at.1)],
        Pen::full(Ink::Ink, 1.0),
    );
    picture.rect(from, to, Ink::Paper, Some(Pen::full(Ink::Ink, 1.0)));
    let middle = (from.0 + to.0) / 2.0;
    let id = fitted(&part.id, SMALL, true, 22.0);
    picture.bold((middle, at.1 + 2.3), Anchor::Middle, SMALL, Ink::Ink, id);
    if load.is_some_and(|load| load.ret.is_battery_negative()) && sheet.scale.lane >= 26.0 {
        earth(picture, (middle, to.1));
    }
    taken.area(from, (to.0, to.1 + 11.0));
    let room = sheet.scale.width - to.0 - 3.0;
    if let Some(load) = load.filter(|load| !load.name.is_empty() && room > 16.0) {
        let name = fitted(&load.name, SMALL, false, room);
        let place = (to.0 + 3.0, at.1 + 2.3);
        taken.words(place, &name, SMALL, Anchor::Start);
        picture.words(place, Anchor::Start, SMALL, Ink::Muted, name);
    }
}

/// What each point read in the state of the question, over the point.
fn read(picture: &mut Picture, sheet: &Sheet<'_>, taken: &mut Taken) {
    let mut last: Vec<(&Point, String)> = Vec::new();
    for entry in sheet.question.log {
        if let Entry::Reading(reading) = entry
            && reading.kind == crate::reading::Kind::Volts
            && reading.black.is_battery_negative()
            && !reading.set_aside
            && reading.state.stands_alike(sheet.question.now)
        {
            last.retain(|(point, _)| **point != reading.red);
            last.push((&reading.red, names::shown(reading)));
        }
    }
    for (point, text) in last {
        let Some(place) = sheet.harness.place(point) else {
            continue;
        };
        let at = sheet.scale.at(place);
        let disc = super::Shape::Disc(at, 2.2, Ink::Ink, Some(Pen::full(Ink::Paper, 0.8)));
        picture.shapes.push(disc);
        let size = 7.0;
        if let Some(free) = taken.near(at, BRACKET + 2.0, &text, size) {
            picture.bold(free, Anchor::Middle, size, Ink::Ink, text);
        }
    }
}

fn part_names(picture: &mut Picture, sheet: &Sheet<'_>, taken: &mut Taken) {
    for part in &sheet.harness.parts {
        let named = matches!(
            part.kind,
            PartKind::Connector | PartKind::Splice | PartKind::Ground | PartKind::Fuse
        );
        if !named {
            continue;
        }
        let at = sheet.scale.at(part.at);
        if let Some(free) = taken.near(at, BRACKET + 2.0, &part.id, SMALL) {
            let ink = if part.kind == PartKind::Connector {
                Ink::Connector
            } else {
                Ink::Ink
            };
            picture.bold(free, Anchor::Middle, SMALL, ink, part.id.clone());
        }
    }
}

/// Designation, length and colour of each wire at its longest straight piece, as much as there is room for.
fn wire_names(picture: &mut Picture, sheet: &Sheet<'_>, taken: &mut Taken) {
    for run in sheet
        .harness
        .runs
        .iter()
        .filter(|r| r.group != Group::Stray)
    {
        let Some((a, b)) = run.span() else { continue };
        let (a, b) = (sheet.scale.at(a), sheet.scale.at(b));
        let wire = sheet.circuit().wires.get(run.wire);
        let colour = wire.and_then(|w| w.colour).map(|c| c.to_string());
        let length = if run.assumed {
            "length not known".to_owned()
        } else {
            as_read(run.length, Unit::Metres)
        };
        let full = match colour {
            Some(colour) => format!("{} · {length} · {colour}", run.id),
            None => format!("{} · {length}", run.id),
        };
        let room = (b.0 - a.0).abs() - 14.0;
        let fits = |text: &String| width(text, SMALL, false) <= room;
        let texts = [full, format!("{} · {length}", run.id), run.id.clone()];
        let Some(text) = texts.into_iter().find(fits) else {
            continue;
        };
        let middle = ((a.0 + b.0) / 2.0, a.1);
        if let Some(free) = taken.under(middle, 8.6, &text, SMALL) {
            picture.words(free, Anchor::Middle, SMALL, Ink::Muted, text);
        }
    }
}

/// Whether a marker of the voltage plot is of the state that is drawn.
pub(super) fn is_now(when: When) -> bool {
    when == When::Now
}
