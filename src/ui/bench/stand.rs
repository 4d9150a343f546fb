//! How the circuit stands for the next reading, beyond the plugs: supply, key, clipped-on loads, range of the meter.

use egui::{ComboBox, Ui};

use super::page::Bench as Page;
use crate::{
    app::{Bench, Model, Screen, words},
    quantity::{Unit, format::as_read, units::as_ohms},
    reading::{Kind, Lamp},
    ui::{
        act::Act,
        dialog::Dialog,
        kit::{Tone, button_ui, choice_ui, label_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// Whether there is something to say of it although nobody asked.
fn matters(model: &Model) -> bool {
    let now = &model.job.now;
    let latches = model.job.circuit.supplies.iter().any(|s| s.latches);
    latches || now.supply_off || !now.attached.is_empty() || now.key_cycled.is_some()
}

/// The rows, where they matter or were asked for.
pub fn stand_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let model = page.model;
    let c = &theme.colour;
    guidance_ui(ui, theme, model, acts);
    if !page.looks.stand && !matters(model) {
        return;
    }
    let now = &model.job.now;
    if tick_ui(ui, theme, "Supply off", now.supply_off).clicked() {
        acts.push(Bench::SupplyOff(!now.supply_off).into());
    }
    key_question_ui(ui, theme, model);
    let keys = [
        ("not noted", "Key not noted"),
        ("yes", "Key cycled and waited"),
        ("no", "Key not cycled"),
    ];
    let chosen = match now.key_cycled {
        None => 0,
        Some(true) => 1,
        Some(false) => 2,
    };
    if let Some(index) = choice_ui(ui, theme, &keys, chosen) {
        acts.push(Bench::KeyCycled([None, Some(true), Some(false)][index]).into());
    }
    for (index, load) in now.attached.iter().enumerate() {
        ui.horizontal(|ui| {
            let ohms = as_read(as_ohms(load.resistance), Unit::Ohms);
            let (from, to) = (words::point(&load.from), words::point(&load.to));
            let name = format!("Take {ohms} off {from}");
            if button_ui(ui, theme, Tone::Quiet, "Take off", Some(&name)).clicked() {
                acts.push(Bench::Detach(index).into());
            }
            text_ui(
                ui,
                &format!("{ohms} clipped on, {from} to {to}"),
                theme.body(),
                c.ink,
            );
        });
    }
    ui.horizontal_wrapped(|ui| {
        if let Some(point) = model
            .selection
            .point
            .as_ref()
            .filter(|p| !p.is_battery_negative())
        {
            let text = format!("Clip a resistor on at {point}");
            if button_ui(ui, theme, Tone::Quiet, &text, None).clicked() {
                acts.push(Act::Ask(Dialog::clip_on(point.clone())));
            }
        }
        range_ui(ui, theme, model, acts);
        if button_ui(ui, theme, Tone::Quiet, "Meter", Some("Choose the meter")).clicked() {
            acts.push(Act::Ask(Dialog::meter(model)));
        }
    });
}

/// Asks for the key; loudly where a supply that latches leaves no reading certain without it.
fn key_question_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let c = &theme.colour;
    let latching: Vec<&str> = (model.job.circuit.supplies.iter())
        .filter(|supply| supply.latches)
        .map(|supply| supply.id.as_str())
        .collect();
    let question = "Key cycled and waited since the last change";
    if latching.is_empty() || model.job.now.key_cycled == Some(true) {
        label_ui(ui, question, theme.label(), c.muted);
        return;
    }
    let latching = words::list(latching);
    let text = if model.job.now.key_cycled == Some(false) {
        format!(
            "{latching} may still be latched off: nothing read now is held against the harness alone."
        )
    } else {
        format!("{latching} can latch off after an overload. {question}?")
    };
    text_ui(ui, &text, theme.label(), c.attention_text);
}

/// On which range the meter stands, for an over-range display.
fn range_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if model.entry.kind != Kind::Volts {
        return;
    }
    label_ui(ui, "OL on", theme.label(), theme.colour.muted);
    let word = |top: Option<f64>| {
        top.map_or_else(
            || "largest range".to_owned(),
            |top| as_read(top, Unit::Volts),
        )
    };
    let tops = model.job.meter.ranges.iter().map(|range| Some(range.top));
    let tops: Vec<Option<f64>> = std::iter::once(None).chain(tops).collect();
    ComboBox::from_id_salt("range")
        .selected_text(word(model.entry.range))
        .width(120.0)
        .show_ui(ui, |ui| {
            for top in tops {
                if ui
                    .selectable_label(model.entry.range == top, word(top))
                    .clicked()
                {
                    acts.push(Screen::SetRange(top).into());
                }
            }
        })
        .response
        .accessible_name("Range for OL");
}

/// What to mind with the chosen kind of reading.
fn guidance_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    match model.entry.kind {
        Kind::Volts => {}
        Kind::Ohms => {
            let lead = as_read(as_ohms(model.job.meter.lead), Unit::Ohms);
            let text = format!(
                "Ohms only with the supply off and dead. The leads\u{2019} own {lead} counts as the meter\u{2019}s."
            );
            text_ui(ui, &text, theme.label(), c.attention_text);
            if !model.job.now.supply_off
                && button_ui(ui, theme, Tone::Plain, "The supply is off", None).clicked()
            {
                acts.push(Bench::SupplyOff(true).into());
            }
        }
        Kind::Clamp => {
            let clamp = &model.job.meter.clamp;
            let text = format!(
                "Zero the clamp away from other wires; around one wire only, not around feed and return. It drifts by {}.",
                as_read(clamp.zero_a, Unit::Amperes)
            );
            text_ui(ui, &text, theme.label(), c.muted);
        }
        Kind::Lamp(lamp) => {
            let glow = lamp.glow();
            let text = format!(
                "{}, from the chosen point to the black lead: lit from about {}, dim from about {}.",
                glow.name,
                as_read(glow.lit_from.0, Unit::Volts),
                as_read(glow.dim_from.0, Unit::Volts)
            );
            text_ui(ui, &text, theme.label(), c.muted);
            if lamp == Lamp::Filament {
                let text = "A plain lamp never goes on a reference or data line: it draws more than the output can give. There, an LED with its resistor, or a resistor of a few mA.";
                text_ui(ui, text, theme.label(), c.attention_text);
            }
        }
        Kind::Scan => {
            let text = "Choose the module or its feed. Silence has other reasons too: its bus, its wake-up, a fault of its own.";
            text_ui(ui, text, theme.label(), c.muted);
        }
        Kind::Amperes => {
            let text = "Meter in series, in the amps jack; back into the volts jack afterwards: in parallel it shorts the feed.";
            text_ui(ui, text, theme.label(), c.attention_text);
        }
    }
}
