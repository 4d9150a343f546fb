//! The reading that is being typed: where, what kind, the value.

use egui::{ComboBox, Id, Key, Ui};

use super::{pad::pad_ui, page::Bench, past::spark_ui, stand::stand_ui};
use crate::{
    app::{Model, Screen, points, view::history, words},
    circuit::{Point, Terminal},
    quantity::{Typed, format::as_read, typed, typed_step},
    reading::{Kind, Lamp},
    ui::{
        act::Act,
        dialog::{Dialog, LookDraft},
        kit::{
            Field, Tone, button_ui, card_ui, choice_ui, field_ui, job_id, label_ui, line_ui,
            link_ui, named_link_ui, notice_ui, text_ui,
        },
        theme::Theme,
    },
};

/// Kinds of reading in the order of the choice.
const KINDS: [(Kind, &str, &str); 3] = [
    (Kind::Volts, "V", "volts"),
    (Kind::Ohms, "Ω", "ohms"),
    (Kind::Amperes, "A", "amperes"),
];
/// The other kinds, which are seldom wanted.
const FURTHER: [(Kind, &str, &str); 4] = [
    (Kind::Clamp, "Clamp", "amperes by clamp"),
    (Kind::Lamp(Lamp::Led), "LED", "LED with its resistor"),
    (Kind::Lamp(Lamp::Filament), "Lamp", "test lamp"),
    (Kind::Scan, "Scan", "answers on the scan"),
];
/// Suggestions under the point box.
const SUGGESTIONS: usize = 4;

/// The value box, so that a click on a point can put the keyboard there.
pub fn value_box() -> Id {
    Id::unique("value box")
}

/// The point box.
pub fn point_box() -> Id {
    Id::unique("point box")
}

/// The card in which a reading is typed.
pub fn entry_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let model = bench.model;
    let beside = doing(model);
    let chosen = KINDS
        .iter()
        .position(|(kind, ..)| *kind == model.entry.kind);
    card_ui(ui, theme, "", "", |ui| {
        head_ui(ui, theme, bench, &beside, acts);
        ui.horizontal(|ui| {
            let kinds = KINDS.map(|(_, sign, word)| (sign, word));
            let width = 3.0 * theme.size.target.max(40.0) + 8.0;
            point_ui(
                ui,
                theme,
                model,
                (ui.available_width() - width).max(80.0),
                acts,
            );
            if let Some(index) = choice_ui(ui, theme, &kinds, chosen.unwrap_or(KINDS.len())) {
                acts.push(Screen::SetKind(KINDS[index].0).into());
            }
        });
        if bench.looks.stand || chosen.is_none() {
            let further = FURTHER.map(|(_, text, name)| (text, name));
            let chosen = FURTHER
                .iter()
                .position(|(kind, ..)| *kind == model.entry.kind);
            if let Some(index) = choice_ui(ui, theme, &further, chosen.unwrap_or(FURTHER.len())) {
                acts.push(Screen::SetKind(FURTHER[index].0).into());
            }
        }
        place_ui(ui, theme, model, acts);
        value_ui(ui, theme, model, acts);
        if bench.pad_at_value && bench.wants_pad() {
            pad_ui(ui, theme, model, acts);
        }
        black_ui(ui, theme, bench, acts);
        stand_ui(ui, theme, bench, acts);
        if let Some(error) = &model.entry.error {
            notice_ui(ui, theme, error, "");
        }
        if model.entry.editing.is_some() || model.entry.retaking.is_some() {
            let cancel = button_ui(ui, theme, Tone::Quiet, "Leave that line as it is", None);
            if cancel.clicked() {
                acts.push(Screen::ClearEntry.into());
            }
        }
    });
}

/// The title, how the circuit stands, and at the far end the way to what is seldom noted.
fn head_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, beside: &str, acts: &mut Vec<Act>) {
    let (text, name) = if bench.looks.stand {
        ("Less", "Hide how it stands")
    } else {
        (
            "More …",
            "Show black lead, clamp, lamp, scan, supply, key, clipped-on loads and ranges",
        )
    };
    let target = ui.spacing().interact_size.y;
    ui.spacing_mut().interact_size.y = 18.0;
    let row = egui::vec2(ui.available_width(), 20.0);
    let from_right = egui::Layout::right_to_left(egui::Align::Center);
    ui.allocate_ui_with_layout(row, from_right, |ui| {
        if named_link_ui(ui, theme, text, name).clicked() {
            acts.push(Act::Stand(!bench.looks.stand));
        }
        let name = "Note a look that found nothing";
        if named_link_ui(ui, theme, "a look …", name).clicked() {
            let part = bench.model.selection.part.as_deref().unwrap_or_default();
            acts.push(Act::Ask(Dialog::Looked(LookDraft::at(part))));
        }
        ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
            label_ui(ui, "Reading", theme.heading(), theme.colour.ink);
            line_ui(ui, beside, theme.label(), theme.colour.muted).on_hover_text(beside);
        });
    });
    ui.spacing_mut().interact_size.y = target;
}

fn doing(model: &Model) -> String {
    if let Some(line) = model.entry.editing {
        format!("corrects line {}", line + 1)
    } else if let Some(line) = model.entry.retaking {
        format!("takes line {} again", line + 1)
    } else {
        words::state(&model.job.now)
    }
}

fn draft_id(ui: &Ui) -> Id {
    job_id(ui, "typed point")
}

/// What is being typed for a point, while it is.
fn draft(ui: &Ui) -> Option<String> {
    let id = draft_id(ui);
    ui.data(|data| data.get_temp::<String>(id))
}

fn point_ui(ui: &mut Ui, theme: &Theme, model: &Model, width: f32, acts: &mut Vec<Act>) {
    let chosen = model
        .selection
        .point
        .as_ref()
        .map_or_else(String::new, Point::shown);
    let mut text = draft(ui).unwrap_or_else(|| chosen.clone());
    let field = Field {
        name: "Point",
        hint: "point, e.g. C1.1n",
        bare: true,
        width,
        id: Some(point_box()),
        ..Field::default()
    };
    let response = field_ui(ui, theme, &mut text, &field);
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if response.changed() {
        let id = draft_id(ui);
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
    }
    if response.lost_focus() {
        let entered = ui.input(|input| input.key_pressed(Key::Enter));
        if entered || !text.trim().is_empty() && text != chosen {
            // Enter takes the first of those that stand below.
            let mut found = points::matches(&model.job.circuit, &text).into_iter();
            match found.next().filter(|_| entered) {
                Some(point) => acts.push(Act::ReadAt(point)),
                None => acts.push(Screen::TypePoint(text).into()),
            }
        }
        let id = draft_id(ui);
        ui.data_mut(|data| data.remove::<String>(id));
    }
}

/// Under the point box one row that is always there, so that the value box stays where it is: what the chosen point is
/// called, or which points could be meant while one is typed.
fn place_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let target = ui.spacing().interact_size.y;
    // No lower than its links and words, whichever of them it has.
    ui.spacing_mut().interact_size.y = if target > 40.0 { target } else { 20.0 };
    ui.horizontal(|ui| match (draft(ui), &model.selection.point) {
        (Some(text), _) if !text.trim().is_empty() => suggestions_ui(ui, theme, model, &text, acts),
        (_, Some(point)) => chosen_ui(ui, theme, model, point, acts),
        _ => {
            let hint = "press a ring on the drawing, or type a point";
            line_ui(ui, hint, theme.label(), theme.colour.muted);
        }
    });
    ui.spacing_mut().interact_size.y = target;
}

/// Points that a text could mean.
fn suggestions_ui(ui: &mut Ui, theme: &Theme, model: &Model, text: &str, acts: &mut Vec<Act>) {
    let found = points::matches(&model.job.circuit, text);
    for point in found.iter().take(SUGGESTIONS) {
        let name = format!("Choose {}", words::point(point));
        if named_link_ui(ui, theme, &point.shown(), &name).clicked() {
            acts.push(Act::ReadAt(point.clone()));
        }
    }
    if found.is_empty() {
        let ink = theme.colour.attention_text;
        label_ui(ui, "no such point", theme.label(), ink);
    }
}

/// What the chosen point is called, the way to its part, and what it has read.
fn chosen_ui(ui: &mut Ui, theme: &Theme, model: &Model, point: &Point, acts: &mut Vec<Act>) {
    let part = &point.part;
    let label = words::point(point);
    label_ui(ui, &label, theme.label(), theme.colour.muted);
    if model.has_part(part) && model.selection.part.as_ref() != Some(part) {
        let text = format!("Edit {part}");
        if link_ui(ui, theme, &text).clicked() {
            acts.push(Screen::SelectPart(Some(part.clone())).into());
        }
    }
    let past = history(model, point);
    if past.len() > 1 {
        let width = 14.0 * past.len().min(12) as f32;
        spark_ui(ui, theme, &past, egui::vec2(width, 18.0));
    }
}

/// What was seen, a button each.
fn seen_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    // There is no box for a value: the keyboard goes to the first button.
    let mut sent = ui.memory(|memory| memory.has_focus(value_box()));
    ui.horizontal_wrapped(|ui| {
        for seen in model.entry.kind.seen() {
            let word = seen.word();
            let name = format!("Log {word}");
            let tone = Tone::Primary;
            let button = button_ui(ui, theme, tone, word, Some(&name));
            if std::mem::take(&mut sent) {
                button.request_focus();
                button.scroll_to_me(None);
            }
            if button.clicked() {
                acts.push(Screen::Submit(Some(word.to_owned())).into());
            }
        }
    });
}

fn value_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if !model.entry.kind.seen().is_empty() {
        seen_ui(ui, theme, model, acts);
        return;
    }
    let unit = model.entry.kind.unit();
    ui.horizontal(|ui| {
        let mut text = model.entry.text.clone();
        let field = Field {
            name: "Value",
            hint: "0.00 or 0.3..0.5",
            unit: match model.entry.kind {
                Kind::Volts => "V dc",
                kind => kind.unit().symbol(),
            },
            bare: true,
            figure: true,
            width: (ui.available_width() - 150.0 - 2.0 * (theme.size.target - 36.0)).max(90.0),
            wrong: model.entry.error.is_some(),
            id: Some(value_box()),
        };
        let response = field_ui(ui, theme, &mut text, &field);
        // A test that was accepted, or a point that was pressed, waits for its value here.
        if response.gained_focus() {
            response.scroll_to_me(None);
        }
        if response.changed() {
            acts.push(Screen::TypeValue(text.clone()).into());
        }
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let over = button_ui(ui, theme, Tone::Plain, "OL", Some("OL, over range")).clicked();
        let log = button_ui(ui, theme, Tone::Primary, "Log", None).clicked();
        if over {
            acts.push(Screen::Submit(Some("OL".to_owned())).into());
        } else if entered || log {
            acts.push(Screen::Submit(None).into());
        }
        if entered || over || log {
            response.request_focus();
        }
    });
    // What the text means, where that is not what it says.
    if let Ok(Typed::Between(low, high)) = typed(&model.entry.text, unit) {
        let text = format!(
            "unsteady, from {} to {}",
            as_read(low, unit),
            as_read(high, unit)
        );
        text_ui(ui, &text, theme.label(), theme.colour.muted);
    } else if let Ok(Typed::Number(number)) = typed(&model.entry.text, unit) {
        let meant = as_read(number, unit);
        let plain = format!("{} {}", model.entry.text.trim(), unit.symbol());
        if meant != plain && meant != model.entry.text.trim() {
            let text = format!("means {meant}");
            text_ui(ui, &text, theme.label(), theme.colour.muted);
        }
        digits_ui(ui, theme, model, number);
    }
}

/// Says what a value counts for that was typed with fewer digits than the display has.
fn digits_ui(ui: &mut Ui, theme: &Theme, model: &Model, number: f64) {
    let unit = model.entry.kind.unit();
    let meter = &model.job.meter;
    let Some(step) = typed_step(&model.entry.text, unit) else {
        return;
    };
    let range = meter.ranges.get(meter.range_of(number));
    let coarse = range.is_some_and(|range| step > meter.counts.max(1.0) * range.step);
    if model.entry.kind == Kind::Volts && coarse {
        let text = format!(
            "counts to {}: type every digit of the display",
            as_read(step, unit)
        );
        text_ui(ui, &text, theme.label(), theme.colour.muted);
    }
}

fn black_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let model = bench.model;
    if model.entry.kind.is_current() {
        wire_ui(ui, theme, model, acts);
        return;
    }
    let usual = model.entry.black.is_battery_negative() && model.entry.kind == Kind::Volts;
    if usual && !bench.looks.stand {
        return;
    }
    ui.horizontal(|ui| {
        label_ui(ui, "Black lead at", theme.label(), theme.colour.muted);
        ComboBox::from_id_salt("black lead")
            .selected_text(words::point(&model.entry.black))
            .width((ui.available_width() - 90.0).clamp(80.0, 200.0))
            .show_ui(ui, |ui| {
                for point in blacks(model) {
                    let here = point == model.entry.black;
                    if ui.selectable_label(here, words::point(&point)).clicked() {
                        acts.push(Screen::SetBlack(point).into());
                    }
                }
            })
            .response
            .accessible_name("Black lead");
    });
}

/// In which wire a current is read, where more than one thing carries one.
fn wire_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let circuit = &model.job.circuit;
    let Some(point) = &model.selection.point else {
        return;
    };
    let mut choices: Vec<(Point, String)> = points::wire_ends(circuit, point)
        .into_iter()
        .map(|end| {
            let text = format!("the wire to {}", words::point(&end));
            (end, text)
        })
        .collect();
    if points::has_whole_current(circuit, point) {
        choices.insert(0, (Point::battery_negative(), "all of it".to_owned()));
    }
    if choices.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        label_ui(ui, "Current in", theme.label(), theme.colour.muted);
        for (end, text) in choices {
            let tone = if end == model.entry.black {
                Tone::Primary
            } else {
                Tone::Quiet
            };
            let name = format!("Current in {text}");
            if button_ui(ui, theme, tone, &text, Some(&name)).clicked() {
                acts.push(Screen::SetBlack(end).into());
            }
        }
    });
}

/// Where a black lead usually goes: battery negative, returns and grounds; for ohms and chosen points any point.
fn blacks(model: &Model) -> Vec<Point> {
    let mut list = vec![Point::battery_negative()];
    let usual = |point: &&Point| {
        model.entry.kind == Kind::Ohms
            || **point == model.entry.black
            || point.terminal == Terminal::Return
            || model
                .job
                .circuit
                .grounds
                .iter()
                .any(|ground| ground.at == **point)
    };
    let returns = model.harness.points.keys().filter(usual);
    list.extend(
        returns
            .filter(|point| !point.is_battery_negative())
            .cloned(),
    );
    list
}
