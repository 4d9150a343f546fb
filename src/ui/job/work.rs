//! Minutes step by step, and the work that follows from the repair.

use egui::Ui;

use super::{
    Draft,
    rows::{Cell, add_ui, cells_ui, remove_ui},
};
use crate::{
    app::job::Piece,
    notebook::record::{FollowUp, FollowUpKind, Relation, SourceSays, Work},
    quantity::{Unit, format, typed_number, units},
    ui::{
        kit::{Field, choice_ui, kept_ui, text_ui, tick_ui},
        theme::Theme,
    },
};

/// Minutes, what they belong to, and their sum.
pub fn work_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.work);
    let (mut changed, mut left, mut step, mut remove) = (false, false, false, None);
    for (index, work) in items.iter_mut().enumerate() {
        let n = index + 1;
        ui.horizontal_wrapped(|ui| {
            let what = Cell {
                name: format!("Step {n}"),
                text: &mut work.what,
                width: 280.0,
            };
            let now = (units::as_minutes(work.took) + 0.0).to_string();
            let happened = cells_ui(ui, theme, vec![what]);
            changed |= happened.0;
            left |= happened.1;
            let name = format!("Minutes of step {n}");
            let field = Field {
                name: &name,
                unit: "min",
                width: 110.0,
                ..Field::default()
            };
            if let Some(minutes) = kept_ui(ui, theme, &name, &now, &field, minutes) {
                work.took = units::minutes(minutes);
                step = true;
            }
            let more = vec![
                Cell {
                    name: format!("Connector reached in step {n}"),
                    text: &mut work.reached,
                    width: 200.0,
                },
                Cell {
                    name: format!("By whom, step {n}"),
                    text: &mut work.by,
                    width: 140.0,
                },
            ];
            let happened = cells_ui(ui, theme, more);
            changed |= happened.0;
            left |= happened.1;
            if tick_ui(ui, theme, &format!("Step {n} is billable"), work.billable).clicked() {
                work.billable = !work.billable;
                step = true;
            }
            let names = Relation::ALL.map(|relation| format!("Step {n} is {}", relation.words()));
            let options: Vec<(&str, &str)> = Relation::ALL
                .iter()
                .zip(&names)
                .map(|(relation, name)| (relation.words(), name.as_str()))
                .collect();
            let chosen = Relation::ALL
                .iter()
                .position(|r| *r == work.relation)
                .unwrap_or(0);
            if let Some(choice) = choice_ui(ui, theme, &options, chosen)
                && let Some(relation) = Relation::ALL.get(choice)
            {
                work.relation = *relation;
                step = true;
            }
            if remove_ui(ui, theme, &format!("Remove step {n}")) {
                remove = Some(index);
            }
        });
        ui.add_space(4.0);
    }
    if let Some(index) = remove {
        items.remove(index);
    }
    if add_ui(ui, theme, "Add a step") {
        items.push(Work {
            what: String::new(),
            took: units::minutes(0.0),
            billable: true,
            relation: Relation::default(),
            reached: String::new(),
            by: draft.record.technician.clone(),
        });
        step = true;
    }
    draft.record.work = items;
    let (all, billable) = draft.record.minutes();
    let sum = format!(
        "{} in all, {} billable",
        format::minutes(all),
        format::minutes(billable)
    );
    text_ui(ui, &sum, theme.strong(), theme.colour.ink);
    told(draft, Piece::Work, changed, left, step || remove.is_some());
}

fn told(draft: &mut Draft, piece: Piece, changed: bool, left: bool, step: bool) {
    if step {
        draft.step(piece);
    } else if changed {
        draft.changed = Some(piece);
    }
    draft.ended |= left;
}

fn minutes(text: &str) -> Result<f64, String> {
    let minutes = typed_number(text, Unit::Minutes).map_err(|error| error.to_string())?;
    if minutes < 0.0 {
        return Err("minutes are not below zero".to_owned());
    }
    Ok(minutes)
}

/// Programming, set-up and calibration: which source says what, which was followed.
pub fn follow_up_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.follow_up);
    let (mut changed, mut left, mut step, mut remove) = (false, false, false, None);
    for (index, work) in items.iter_mut().enumerate() {
        let n = index + 1;
        ui.horizontal_wrapped(|ui| {
            let names = FollowUpKind::ALL.map(|kind| format!("Follow-up {n} is {}", kind.words()));
            let options: Vec<(&str, &str)> = FollowUpKind::ALL
                .iter()
                .zip(&names)
                .map(|(kind, name)| (kind.words(), name.as_str()))
                .collect();
            let chosen = FollowUpKind::ALL
                .iter()
                .position(|k| *k == work.kind)
                .unwrap_or(0);
            if let Some(choice) = choice_ui(ui, theme, &options, chosen)
                && let Some(kind) = FollowUpKind::ALL.get(choice)
            {
                work.kind = *kind;
                step = true;
            }
            let mut cells = vec![Cell {
                name: format!("Follow-up {n} of what"),
                text: &mut work.what,
                width: 200.0,
            }];
            for (number, source) in work.sources.iter_mut().enumerate() {
                let number = number + 1;
                cells.push(Cell {
                    name: format!("Source {number} of follow-up {n}"),
                    text: &mut source.source,
                    width: 200.0,
                });
                cells.push(Cell {
                    name: format!("What source {number} of follow-up {n} says"),
                    text: &mut source.says,
                    width: 300.0,
                });
            }
            cells.push(Cell {
                name: format!("Followed in follow-up {n}"),
                text: &mut work.followed,
                width: 240.0,
            });
            cells.push(Cell {
                name: format!("By whom, follow-up {n}"),
                text: &mut work.by,
                width: 140.0,
            });
            let happened = cells_ui(ui, theme, cells);
            changed |= happened.0;
            left |= happened.1;
            if tick_ui(ui, theme, &format!("Follow-up {n} is done"), work.done).clicked() {
                work.done = !work.done;
                step = true;
            }
            if add_ui(ui, theme, &format!("Add a source to follow-up {n}")) {
                work.sources.push(SourceSays::default());
                step = true;
            }
            if remove_ui(ui, theme, &format!("Remove follow-up {n}")) {
                remove = Some(index);
            }
        });
        ui.add_space(4.0);
    }
    if let Some(index) = remove {
        items.remove(index);
    }
    if add_ui(ui, theme, "Add follow-up work") {
        items.push(FollowUp::default());
        step = true;
    }
    draft.record.follow_up = items;
    told(
        draft,
        Piece::FollowUp,
        changed,
        left,
        step || remove.is_some(),
    );
}
