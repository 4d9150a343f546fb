//! An exercise that a trainer makes from the sketch on the bench: what is wrong, what the customer says, what may be
//! tested; kept as one file.

use std::sync::Arc;

use egui::{Rect, ScrollArea, Sense, Ui, pos2, vec2};

use super::{drawn::drawn_ui, told_ui, vehicle::piece};
use crate::{
    app::{
        Model,
        practice::{Command, Draft, FAULTS, Fault, Practice, foretaste},
    },
    circuit::Terminal,
    drawing::{Harness, Run},
    explain::names,
    fault::FaultKind,
    notebook::Job,
    practice::{Move, exercise::MOST_FAULTS},
    ui::{
        act::Act,
        bench::view::{Chosen, View},
        kit::{
            Field, Tone, button_ui, card_ui, choice_ui, field_ui, label_ui, text_block_ui, text_ui,
            tick_ui,
        },
        theme::Theme,
    },
};

/// Height of the drawing where everything stands in one column.
const SHEET: f32 = 420.0;
/// Places along a wire among which a click chooses.
const ALONG: u32 = 400;

/// What is drawn.
pub struct Page<'a> {
    /// The state of the page.
    pub state: &'a Practice,
    /// The job on the bench.
    pub job: &'a Arc<Job>,
    /// Its sketch, with what it would read.
    pub bench: &'a Model,
    /// The same, laid out.
    pub harness: &'a Harness,
    /// Piece of the drawing in sight.
    pub chosen: &'a Chosen,
}

/// The sketch of a job with everything plugged, and what it would read with these faults, as a foretaste of the exercise.
pub fn tasted(job: &Job, faults: &[Fault]) -> Model {
    Model::new(Job {
        circuit: job.circuit.clone(),
        meter: job.meter.clone(),
        log: foretaste(&job.circuit, &job.meter, faults),
        ..Job::default()
    })
}

/// The page. Answers how the drawing lies on the screen.
pub fn author_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) -> View {
    let mut draft = page.state.draft.clone();
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    let view = if room.width() < super::NARROW || room.height() < 420.0 {
        let all = ScrollArea::vertical().id_salt("author");
        let all = all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            let size = vec2(ui.available_width(), SHEET);
            let (rect, _) = ui.allocate_exact_size(size, Sense::empty());
            let view = piece(ui, rect, "author", |ui| {
                sketch_ui(ui, theme, page, &mut draft, acts)
            });
            form_ui(ui, theme, page, &mut draft, acts);
            view
        });
        all.inner
    } else {
        let column = theme.size.column.max(430.0).min(room.width() * 0.42);
        let split = room.right() - column;
        let left = Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
        let right = Rect::from_min_max(pos2(split, room.top()), room.max);
        let view = piece(ui, left, "author", |ui| {
            sketch_ui(ui, theme, page, &mut draft, acts)
        });
        piece(ui, right, "form", |ui| {
            let all = ScrollArea::vertical().id_salt("form");
            all.auto_shrink(false).show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = gap;
                form_ui(ui, theme, page, &mut draft, acts);
            });
        });
        view
    };
    if draft != page.state.draft {
        acts.push(Command::Draft(draft).into());
    }
    view
}

/// The drawing: a click says where the chosen fault is.
fn sketch_ui(
    ui: &mut Ui,
    theme: &Theme,
    page: &Page<'_>,
    draft: &mut Draft,
    acts: &mut Vec<Act>,
) -> View {
    let mut bench = page.bench.clone();
    bench.selection.part = draft.faults.get(draft.at).map(|fault| {
        let part = fault.place.split('.').next().unwrap_or_default();
        part.trim().to_owned()
    });
    let caption = format!(
        "click where fault {} is: a wire at its metre, a pin, a sensor, a module",
        draft.at + 1
    );
    let mut asked = Vec::new();
    let how = (page.chosen, caption.as_str(), true);
    let view = drawn_ui(ui, theme, &bench, page.harness, how, &mut asked);
    let mut place = None;
    for act in asked {
        match act {
            Act::Practice(command) => place = clicked(*command).or(place),
            act => acts.push(act),
        }
    }
    if let (Some(place), Some(fault)) = (place, draft.faults.get_mut(draft.at)) {
        let run = page.harness.run(&place);
        let metres = run.and_then(|run| along(ui, &view, run));
        fault.take(place, metres);
    }
    view
}

/// The place that a press on the drawing means.
fn clicked(command: Command) -> Option<String> {
    match command {
        Command::Part(part) => part,
        Command::Do(Move::Plug(id)) => Some(id),
        Command::Point(point) => point.map(|point| match point.terminal {
            Terminal::Near(pin) | Terminal::Far(pin) => format!("{}.{pin}", point.part),
            _ => point.part,
        }),
        _ => None,
    }
}

/// Metres along a wire at which the pointer was let go; none where a key chose it.
fn along(ui: &Ui, view: &View, run: &Run) -> Option<f64> {
    let pointer = ui.input(|input| {
        let released = input.pointer.any_released();
        input.pointer.interact_pos().filter(|_| released)
    })?;
    let far = |share: f64| view.at(run.at(share)).distance_sq(pointer);
    let shares = (0..=ALONG).map(|step| f64::from(step) / f64::from(ALONG));
    let nearest = shares.min_by(|a, b| far(*a).total_cmp(&far(*b)))?;
    Some(nearest * run.length)
}

fn form_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, draft: &mut Draft, acts: &mut Vec<Act>) {
    ui.set_max_width(ui.available_width());
    told_ui(ui, theme, page.state);
    story_ui(ui, theme, page.bench, draft);
    faults_ui(ui, theme, draft);
    allowed_ui(ui, theme, draft);
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
            let ready = page.state.pending.is_none() && !draft.path.trim().is_empty();
            ui.add_enabled_ui(ready, |ui| {
                let text = "Try it and write the file";
                if button_ui(ui, theme, Tone::Primary, text, None).clicked() {
                    acts.push(Command::Draft(draft.clone()).into());
                    acts.push(Command::Write(Arc::clone(page.job)).into());
                }
            });
        },
    );
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
        if draft.faults.len() > 1 {
            let names: Vec<String> = (1..=draft.faults.len())
                .map(|number| format!("Fault {number}"))
                .collect();
            let options: Vec<(&str, &str)> = names
                .iter()
                .map(|name| (name.as_str(), name.as_str()))
                .collect();
            label_ui(
                ui,
                "A click on the drawing places",
                theme.label(),
                theme.colour.muted,
            );
            if let Some(at) = choice_ui(ui, theme, &options, draft.at) {
                draft.at = at;
            }
        }
        let mut gone = None;
        let many = draft.faults.len() > 1;
        for (index, fault) in draft.faults.iter_mut().enumerate() {
            fault_ui(ui, theme, index + 1, fault);
            let name = format!("Remove fault {}", index + 1);
            if many && button_ui(ui, theme, Tone::Quiet, "Remove", Some(&name)).clicked() {
                gone = Some(index);
            }
        }
        if let Some(index) = gone {
            draft.faults.remove(index);
            draft.at = draft.at.min(draft.faults.len() - 1);
        }
        ui.add_enabled_ui(draft.faults.len() < MOST_FAULTS, |ui| {
            if button_ui(ui, theme, Tone::Plain, "Add a fault", None).clicked() {
                draft.at = draft.faults.len();
                draft.faults.push(Fault::default());
            }
        });
    });
}

fn fault_ui(ui: &mut Ui, theme: &Theme, number: usize, fault: &mut Fault) {
    let half = ((ui.available_width() - theme.size.gap) / 2.0).min(240.0);
    let cell = |ui: &mut Ui, name: String, hint: &str, unit: &str, text: &mut String| {
        let field = Field {
            name: &name,
            hint,
            unit,
            width: half,
            ..Field::default()
        };
        field_ui(ui, theme, text, &field);
    };
    ui.horizontal(|ui| {
        ui.vertical(|ui| {
            ui.set_width(half);
            ui.spacing_mut().item_spacing.y = 2.0;
            label_ui(
                ui,
                &format!("Fault {number}"),
                theme.label(),
                theme.colour.muted,
            );
            egui::ComboBox::from_id_salt(("kind", number))
                .selected_text(egui::RichText::new(names::kind(fault.kind)).font(theme.body()))
                .width(half - 5.0)
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
        let name = format!("Part or pin of fault {number}");
        cell(ui, name, "W3, or C1.2", "", &mut fault.place);
    });
    ui.horizontal(|ui| {
        match fault.kind {
            FaultKind::Open | FaultKind::DrawsNothing | FaultKind::SupplyDead => {}
            FaultKind::SupplyLow | FaultKind::LimitsEarly => {
                let name = format!("Left, fault {number}");
                cell(ui, name, "67", "%", &mut fault.size);
            }
            _ => {
                let name = format!("Ohms of fault {number}");
                cell(ui, name, "4k7", "Ω", &mut fault.size);
            }
        }
        if fault.is_along() {
            let name = format!("Metres of fault {number}");
            cell(ui, name, "the middle", "m", &mut fault.metres);
        }
    });
    if fault.touches() {
        let name = format!("Touches, fault {number}");
        cell(ui, name, "V1, or W4", "", &mut fault.with);
    } else {
        fault.with.clear();
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
