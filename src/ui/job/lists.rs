//! The lists of the record: codes, modules, parts, functional check, additions.

use egui::Ui;

use super::{
    Draft,
    rows::{Cell, add_ui, cells_ui, day_ui, lock, remove_ui, three_ui},
};
use crate::{
    app::{job::Piece, signed::is_trace},
    notebook::{
        TroubleCode,
        record::{Amendment, Answering, Code, FunctionCheck, PartUsed},
    },
    ui::{kit::text_ui, theme::Theme},
};

/// What happened in a list.
#[derive(Default)]
pub(super) struct Happened {
    changed: bool,
    left: bool,
    step: bool,
    pub remove: Option<usize>,
}

impl Happened {
    pub fn cells(&mut self, (changed, left): (bool, bool)) {
        self.changed |= changed;
        self.left |= left;
    }

    pub fn told(self, draft: &mut Draft, piece: Piece) {
        if self.step || self.remove.is_some() {
            draft.step(piece);
        } else if self.changed {
            draft.changed = Some(piece);
        }
        draft.ended |= self.left;
    }
}

/// Draws a row for each item, and a button for one more.
fn list_ui<T: Default>(
    ui: &mut Ui,
    theme: &Theme,
    items: &mut Vec<T>,
    (one, add): (&str, &str),
    mut row_ui: impl FnMut(&mut Ui, usize, &mut T, &mut Happened),
) -> Happened {
    let mut happened = Happened::default();
    for (index, item) in items.iter_mut().enumerate() {
        ui.horizontal_wrapped(|ui| {
            row_ui(ui, index + 1, item, &mut happened);
            if remove_ui(ui, theme, &format!("Remove {one} {}", index + 1)) {
                happened.remove = Some(index);
            }
        });
    }
    if let Some(index) = happened.remove {
        items.remove(index);
    }
    if add_ui(ui, theme, add) {
        items.push(T::default());
        happened.step = true;
    }
    happened
}

pub(super) fn cell<'a>(name: &str, number: usize, text: &'a mut String, width: f32) -> Cell<'a> {
    Cell {
        name: format!("{name} {number}"),
        text,
        width,
    }
}

/// Codes before and after.
pub fn codes_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.codes);
    let happened = list_ui(
        ui,
        theme,
        &mut items,
        ("code", "Add a code"),
        |ui, n, code: &mut Code, happened| {
            let cells = vec![
                cell("Code", n, &mut code.code, 120.0),
                cell("Text of code", n, &mut code.text, 220.0),
                cell("Module of code", n, &mut code.module, 150.0),
            ];
            happened.cells(cells_ui(ui, theme, cells));
            happened.step |= three_ui(
                ui,
                theme,
                ("at arrival", &format!("Code {n} at arrival")),
                ["stored", "not", "?"],
                &mut code.before,
            );
            happened.step |= three_ui(
                ui,
                theme,
                ("after the work", &format!("Code {n} after")),
                ["stored", "gone", "?"],
                &mut code.after,
            );
            match TroubleCode::read(&code.code) {
                Ok(split) => {
                    let failure = split
                        .failure
                        .zip(split.failure_words())
                        .map_or_else(String::new, |(byte, words)| {
                            format!("; failure type {byte:02X}: {words}")
                        });
                    let words = format!(
                        "{}: {}; {}: {}; number {:03X}{failure}",
                        split.system,
                        split.system_words(),
                        split.origin,
                        split.origin_words(),
                        split.number
                    );
                    text_ui(ui, &words, theme.label(), theme.colour.muted);
                }
                Err(_) if code.code.trim().is_empty() => {}
                Err(why) => {
                    text_ui(
                        ui,
                        &format!("Another form of code: {why}"),
                        theme.label(),
                        theme.colour.attention_text,
                    );
                }
            }
        },
    );
    draft.record.codes = items;
    happened.told(draft, Piece::Codes);
}

/// Modules that answer.
pub fn modules_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.modules);
    let words = ["answers", "silent", "?"];
    let happened = list_ui(
        ui,
        theme,
        &mut items,
        ("module", "Add a module"),
        |ui, n, module: &mut Answering, happened| {
            happened.cells(cells_ui(
                ui,
                theme,
                vec![cell("Module", n, &mut module.module, 240.0)],
            ));
            happened.step |= three_ui(
                ui,
                theme,
                ("at arrival", &format!("Module {n} at arrival")),
                words,
                &mut module.before,
            );
            happened.step |= three_ui(
                ui,
                theme,
                ("after the work", &format!("Module {n} after")),
                words,
                &mut module.after,
            );
        },
    );
    draft.record.modules = items;
    happened.told(draft, Piece::Modules);
}

/// Parts that were used.
pub fn parts_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.parts);
    let happened = list_ui(
        ui,
        theme,
        &mut items,
        ("part", "Add a part"),
        |ui, n, part: &mut PartUsed, happened| {
            let cells = vec![
                cell("Part used", n, &mut part.name, 260.0),
                cell("Number of part", n, &mut part.number, 140.0),
                cell("Quantity of part", n, &mut part.quantity, 90.0),
                cell("Place of part", n, &mut part.at, 90.0),
            ];
            happened.cells(cells_ui(ui, theme, cells));
        },
    );
    draft.record.parts = items;
    happened.told(draft, Piece::Parts);
}

/// What was tried at the end.
pub fn checks_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    let mut items = std::mem::take(&mut draft.record.checks);
    let happened = list_ui(
        ui,
        theme,
        &mut items,
        ("check", "Add a check"),
        |ui, n, check: &mut FunctionCheck, happened| {
            let cells = vec![
                cell("Check", n, &mut check.what, 280.0),
                cell("Seen at check", n, &mut check.note, 200.0),
            ];
            happened.cells(cells_ui(ui, theme, cells));
            happened.step |= three_ui(
                ui,
                theme,
                ("when tried", &format!("Check {n}")),
                ["works", "does not", "?"],
                &mut check.works,
            );
        },
    );
    draft.record.checks = items;
    happened.told(draft, Piece::Checks);
}

/// What is added once the record is signed; what is saved of it stays, and so does what this program wrote.
pub fn amendments_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft, saved: usize) {
    let mut items = std::mem::take(&mut draft.record.amendments);
    let happened = list_ui(
        ui,
        theme,
        &mut items,
        ("addition", "Write a correction or addition"),
        |ui, n, added: &mut Amendment, happened| {
            if n <= saved || is_trace(added) {
                lock(ui);
            }
            let cells = vec![
                cell("Day of addition", n, &mut added.date, 120.0),
                cell("Author of addition", n, &mut added.by, 150.0),
                cell("Addition", n, &mut added.text, 380.0),
            ];
            happened.cells(cells_ui(ui, theme, cells));
            day_ui(ui, theme, &added.date);
        },
    );
    draft.record.amendments = items;
    happened.told(draft, Piece::Amendments);
}
