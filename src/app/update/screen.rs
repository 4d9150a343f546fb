//! What is seen and chosen; nothing here changes the job, except that submitting logs a reading.

use std::collections::BTreeSet;

use super::{Effect, try_change};
use crate::{
    app::{
        clip::{copy, copy_many},
        command::{Command, Log, Screen, Typing},
        model::{Entry as EntryBox, Model, SCALE_RANGE, Weight},
        naming, points,
        sketch::Sketch,
    },
    circuit::Point,
    quantity::format::as_noted,
    reading::{Entry, Kind, Value},
};

pub(super) fn screen(model: &mut Model, command: Screen) -> Vec<Effect> {
    match command {
        Screen::SelectPoint(point) => {
            let there = point.filter(|p| is_there(model, p));
            choose_point(model, there);
        }
        Screen::TypePoint(text) => type_point(model, &text),
        // Choosing the point from which things are to hang lets go of a part, not of them.
        Screen::SelectPart(None) if model.moving => model.selection.part = None,
        Screen::SelectPart(part) => {
            model.selection.part = part.filter(|id| model.has_part(id));
            model.selection.many.clear();
            model.moving = false;
        }
        Screen::SelectMany(ids) => select_many(model, ids),
        Screen::SelectAlso(id) => {
            let mut ids = model.selection.many.clone();
            // What was chosen alone is the first of several.
            ids.extend(model.selection.part.clone());
            if !ids.remove(&id) {
                ids.insert(id);
            }
            select_many(model, ids);
        }
        Screen::StartMove(start) => model.moving = start && !model.selection.many.is_empty(),
        Screen::CopyMany => {
            let many = &model.selection.many;
            model.clip = copy_many(&model.job.circuit, &model.harness, many);
        }
        Screen::Name(step) => naming::name(model, step),
        Screen::StartWire(from) => {
            model.wiring = from.filter(|p| model.job.circuit.has_point(p));
        }
        Screen::Show(page) => model.page = page,
        Screen::SetTheme(theme) => model.look.theme = theme,
        Screen::SetScale(percent) => {
            model.look.scale = percent.clamp(SCALE_RANGE.0, SCALE_RANGE.1);
        }
        Screen::SetGlove(glove) => model.look.glove = glove,
        Screen::Copy(id) => model.clip = copy(&model.job.circuit, &model.harness, &id),
        Screen::Compare(state) => {
            model.compare = state;
            model.comparison = None;
        }
        Screen::Tour(step) => {
            model.tour = step;
            model.toured |= step.is_none();
        }
        Screen::SetWindow(place) => model.window = Some(place),
        Screen::SetPractised(practised) => model.practised = practised,
        Screen::Tell(weight, refusal) => model.tell(weight, refusal),
        Screen::Dismiss(id) => model.notices.retain(|notice| notice.id != id),
        Screen::TypeValue(text) => {
            model.entry.text = text;
            model.entry.error = None;
        }
        Screen::SetKind(kind) => set_kind(model, kind),
        Screen::SetRange(top) => model.entry.range = top,
        Screen::SetBlack(point) => set_black(model, point),
        Screen::BeginTest(kind, black) => begin_test(model, kind, black),
        Screen::Submit(instead) => submit(model, instead),
        Screen::EditReading(index) => edit(model, index),
        Screen::ClearEntry => clear(model),
    }
    Vec::new()
}

fn set_kind(model: &mut Model, kind: Kind) {
    let entry = &mut model.entry;
    if kind.is_current() != entry.kind.is_current() {
        entry.black = entry.own_black_for(kind);
        entry.black_before = None;
    }
    entry.kind = kind;
    entry.range = None;
    entry.error = None;
}

fn set_black(model: &mut Model, point: Point) {
    if is_there(model, &point) {
        model.entry.black = point;
        model.entry.black_before = None;
    }
}

/// Empties the entry box for a test, unless that is of an answer to an earlier sketch and its place is gone.
fn begin_test(model: &mut Model, kind: Kind, black: Point) {
    if is_there(model, &black) {
        model.entry = EntryBox {
            kind,
            black_before: Some(model.entry.own_black_for(kind)),
            black,
            ..EntryBox::default()
        };
    }
}

fn clear(model: &mut Model) {
    let emptied = EntryBox::default();
    let black = match model.entry.black_before {
        Some(_) => model.entry.own_black_for(emptied.kind),
        None => emptied.black,
    };
    model.entry = EntryBox { black, ..emptied };
}

fn type_point(model: &mut Model, text: &str) {
    match points::find(&model.job.circuit, text) {
        Some(point) => choose_point(model, Some(point)),
        None => {
            let shown: String = text.trim().chars().take(24).collect();
            model.entry.error = Some(format!(
                "“{shown}” is no point of this sketch: type a part and a pin, e.g. C1.1n, or click it"
            ));
        }
    }
}

/// Whether a lead can be put there.
fn is_there(model: &Model, point: &Point) -> bool {
    point.is_battery_negative() || model.harness.points.contains_key(point)
}

/// Chooses where the red lead goes, or ends the wire that is being drawn there.
fn choose_point(model: &mut Model, point: Option<Point>) {
    model.entry.error = None;
    if let (true, Some(to)) = (model.moving, &point) {
        model.moving = false;
        let many = model.selection.many.iter().cloned().collect();
        let command = Command::Sketch(Sketch::Move(many, to.clone()));
        if let Err(refusal) = try_change(model, command) {
            model.tell(Weight::Trouble, refusal);
        }
        return;
    }
    if let (Some(from), Some(to)) = (model.wiring.take(), &point)
        && from != *to
    {
        let command = Command::Sketch(Sketch::Connect(from, to.clone()));
        if let Err(refusal) = try_change(model, command) {
            model.tell(Weight::Trouble, refusal);
        }
    }
    model.selection.point = point;
}

/// Chooses parts together; one alone is chosen as one always is.
fn select_many(model: &mut Model, mut ids: BTreeSet<String>) {
    ids.retain(|id| model.has_part(id));
    model.moving = false;
    if ids.len() < 2 {
        model.selection.part = ids.pop_first();
    } else {
        model.selection.part = None;
    }
    model.selection.many = ids;
}

/// Logs or corrects from the entry box; a refusal stays beside the box.
fn submit(model: &mut Model, instead: Option<String>) {
    let Some(red) = model.selection.point.clone() else {
        model.entry.error =
            Some("no point chosen: click one on the drawing, or type its name".to_owned());
        return;
    };
    let typing = Typing {
        kind: model.entry.kind,
        red,
        black: model.entry.black.clone(),
        text: with_range(
            instead.unwrap_or_else(|| model.entry.text.clone()),
            model.entry.range,
        ),
    };
    let command = match model.entry.editing {
        Some(index) => Log::Edit(index, typing),
        None => Log::Add(typing),
    };
    if let Err(refusal) = try_change(model, Command::Log(command)) {
        model.entry.error = Some(refusal.sentence());
    }
}

/// An over-range display with the range it was seen on.
fn with_range(text: String, range: Option<f64>) -> String {
    match range {
        Some(top) if matches!(text.trim(), "OL" | "ol" | "0L" | "0l") => format!("OL {top}"),
        _ => text,
    }
}

fn edit(model: &mut Model, index: usize) {
    let Some(Entry::Reading(reading)) = model.job.log.get(index) else {
        return;
    };
    let unit = reading.kind.unit();
    model.selection.point = Some(reading.red.clone());
    model.entry = EntryBox {
        text: match reading.value {
            Value::Exactly(number) => as_noted(number, reading.noted_to(), unit),
            Value::OverRange { above: None } => "OL".to_owned(),
            Value::OverRange { above: Some(top) } => format!("OL {top}"),
            Value::Between(low, high) => format!("{low}..{high} {}", unit.symbol()),
            Value::Seen(seen) => seen.word().to_owned(),
        },
        kind: reading.kind,
        black_before: Some(model.entry.own_black_for(reading.kind)),
        black: reading.black.clone(),
        editing: Some(index),
        ..EntryBox::default()
    };
}
