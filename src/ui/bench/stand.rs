//! How the circuit stands for the next reading, beyond the plugs: supply, key, clipped-on loads, range of the meter.

use egui::{ComboBox, Ui};

use super::page::Bench as Page;
use crate::{
    app::{Bench, Model, Screen, words},
    quantity::{Unit, format::as_read, units::as_ohms},
    reading::Kind,
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
    label_ui(
        ui,
        "Key cycled and waited since the last change",
        theme.label(),
        c.muted,
    );
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
        Kind::Amperes => {
            let text = "Meter in series at the feed pin, in the amps jack; back into the volts jack afterwards: in parallel it shorts the feed.";
            text_ui(ui, text, theme.label(), c.attention_text);
        }
    }
}
