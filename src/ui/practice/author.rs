//! An exercise that a trainer makes from the sketch on the bench: what is wrong, what the customer says, what may be
//! tested; kept as one file.

use std::sync::Arc;

use egui::{ScrollArea, Ui};

use crate::{
    app::{
        Model,
        practice::{Command, Draft, FAULTS, Fault, Practice},
    },
    explain::names,
    fault::FaultKind,
    practice::exercise::MOST_FAULTS,
    ui::{
        act::Act,
        kit::{
            Field, Tone, button_ui, card_ui, field_ui, label_ui, text_block_ui, text_ui, tick_ui,
        },
        theme::Theme,
    },
};

/// Widest that the page gets, so that its lines stay readable.
const WIDEST: f32 = 860.0;

/// The page.
pub fn author_ui(ui: &mut Ui, theme: &Theme, state: &Practice, model: &Model, acts: &mut Vec<Act>) {
    let mut draft = state.draft.clone();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width().min(WIDEST));
        ui.spacing_mut().item_spacing.y = theme.size.gap + 2.0;
        story_ui(ui, theme, model, &mut draft);
        faults_ui(ui, theme, &mut draft);
        allowed_ui(ui, theme, &mut draft);
        card_ui(
            ui,
            theme,
            "Try and write it",
            "one file, to hand on",
            |ui| {
                let field = Field {
                    name: "Exercise file",
                    ..Field::default()
                };
                field_ui(ui, theme, &mut draft.path, &field);
                ui.add_enabled_ui(
                    state.pending.is_none() && !draft.path.trim().is_empty(),
                    |ui| {
                        let text = "Try it and write the file";
                        if button_ui(ui, theme, Tone::Primary, text, None).clicked() {
                            acts.push(Command::Draft(draft.clone()).into());
                            acts.push(Command::Write(Arc::clone(&model.job)).into());
                        }
                    },
                );
            },
        );
    });
    if draft != state.draft {
        acts.push(Command::Draft(draft).into());
    }
}

fn story_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft) {
    let c = &theme.colour;
    card_ui(
        ui,
        theme,
        "The exercise",
        "on the sketch that is on the bench",
        |ui| {
            let circuit = &model.job.circuit;
            let text = format!(
                "{} wires, {} connectors, {} sensors. Vehicle, shop, names, notes and readings of the job stay out of the file.",
                circuit.wires.len(),
                circuit.connectors.len(),
                circuit.loads.len()
            );
            text_ui(ui, &text, theme.body(), c.muted);
            let field = Field {
                name: "Title of the exercise",
                ..Field::default()
            };
            field_ui(ui, theme, &mut draft.title, &field);
            let field = Field {
                name: "What the customer says",
                ..Field::default()
            };
            text_block_ui(ui, theme, &mut draft.story, 3, &field);
        },
    );
}

fn faults_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    card_ui(ui, theme, "What is wrong", "", |ui| {
        let mut gone = None;
        let many = draft.faults.len() > 1;
        for (index, fault) in draft.faults.iter_mut().enumerate() {
            ui.horizontal_wrapped(|ui| {
                fault_ui(ui, theme, index + 1, fault);
                let name = format!("Remove fault {}", index + 1);
                if many && button_ui(ui, theme, Tone::Quiet, "Remove", Some(&name)).clicked() {
                    gone = Some(index);
                }
            });
        }
        if let Some(index) = gone {
            draft.faults.remove(index);
        }
        ui.add_enabled_ui(draft.faults.len() < MOST_FAULTS, |ui| {
            if button_ui(ui, theme, Tone::Plain, "Add a fault", None).clicked() {
                draft.faults.push(Fault::default());
            }
        });
    });
}

fn fault_ui(ui: &mut Ui, theme: &Theme, number: usize, fault: &mut Fault) {
    ui.vertical(|ui| {
        ui.set_width(230.0);
        ui.spacing_mut().item_spacing.y = 2.0;
        label_ui(
            ui,
            &format!("Fault {number}"),
            theme.label(),
            theme.colour.muted,
        );
        egui::ComboBox::from_id_salt(("kind", number))
            .selected_text(egui::RichText::new(names::kind(fault.kind)).font(theme.body()))
            .width(225.0)
            .show_ui(ui, |ui| {
                for kind in FAULTS {
                    let here = fault.kind == kind;
                    if ui.selectable_label(here, names::kind(kind)).clicked() {
                        fault.kind = kind;
                    }
                }
            })
            .response
            .accessible_name(format!("Kind of fault {number}"));
    });
    let mut cell = |name: String, hint: &str, unit: &str, width: f32, text: &mut String| {
        let field = Field {
            name: &name,
            hint,
            unit,
            width,
            ..Field::default()
        };
        field_ui(ui, theme, text, &field);
    };
    cell(
        format!("Part or pin of fault {number}"),
        "W3, or C1.2",
        "",
        150.0,
        &mut fault.place,
    );
    match fault.kind {
        FaultKind::ShortToRail | FaultKind::ShortBetween => {
            cell(
                format!("Touches, fault {number}"),
                "V1, or W4",
                "",
                110.0,
                &mut fault.with,
            );
        }
        _ => fault.with.clear(),
    }
    match fault.kind {
        FaultKind::Open | FaultKind::DrawsNothing | FaultKind::SupplyDead => {}
        FaultKind::SupplyLow | FaultKind::LimitsEarly => {
            cell(
                format!("Left, fault {number}"),
                "67",
                "%",
                110.0,
                &mut fault.size,
            );
        }
        _ => cell(
            format!("Ohms of fault {number}"),
            "4k7",
            "Ω",
            110.0,
            &mut fault.size,
        ),
    }
    let along = matches!(
        fault.kind,
        FaultKind::ShortToGround
            | FaultKind::Open
            | FaultKind::HighResistance
            | FaultKind::ShortToRail
            | FaultKind::ShortBetween
    );
    if along {
        cell(
            format!("Metres of fault {number}"),
            "the middle",
            "m",
            120.0,
            &mut fault.metres,
        );
    }
}

fn allowed_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    card_ui(ui, theme, "What may be tested", "", |ui| {
        let allowed = &mut draft.allowed;
        ui.horizontal_wrapped(|ui| {
            for (text, on) in [
                ("Volts", &mut allowed.volts),
                ("Ohms", &mut allowed.ohms),
                ("Amperes", &mut allowed.amperes),
                ("Unplugging", &mut allowed.unplugging),
                ("Known loads", &mut allowed.loads),
            ] {
                if tick_ui(ui, theme, text, *on).clicked() {
                    *on = !*on;
                }
            }
        });
    });
}
