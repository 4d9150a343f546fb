//! A lasso: dragging over bare ground with Shift held chooses everything inside together.

use std::collections::BTreeSet;

use egui::{CornerRadius, Id, Pos2, Rect, Response, Stroke, StrokeKind, Ui};

use super::{draw::wire_path, sheet::Sheet, spot::symbol_rect, view::View};
use crate::{
    app::Screen,
    ui::{
        act::Act,
        theme::{STRONG, Theme},
    },
};

fn start_id() -> Id {
    Id::unique("start of the lasso")
}

/// Follows a lasso. Answers whether one is drawn, so that the sheet keeps still.
pub fn lasso_ui(
    ui: &Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    ground: &Response,
    acts: &mut Vec<Act>,
) -> bool {
    if ground.drag_started()
        && let Some(at) = ui.input(|input| {
            input
                .pointer
                .press_origin()
                .filter(|_| input.modifiers.shift)
        })
    {
        ui.data_mut(|data| data.insert_temp(start_id(), at));
    }
    let Some(start) = ui.data(|data| data.get_temp::<Pos2>(start_id())) else {
        return false;
    };
    let end = ground.interact_pointer_pos().unwrap_or(start);
    let lasso = Rect::from_two_pos(start, end);
    if ground.drag_stopped() || !ground.dragged() {
        ui.data_mut(|data| data.remove::<Pos2>(start_id()));
        acts.push(Screen::SelectMany(inside(theme, sheet, view, lasso)).into());
        return true;
    }
    let c = &theme.colour;
    let painter = ui.painter_at(view.rect);
    painter.rect(
        lasso,
        CornerRadius::ZERO,
        c.focus.gamma_multiply(0.10),
        Stroke::new(STRONG, c.focus),
        StrokeKind::Inside,
    );
    true
}

/// Parts whose middle lies inside, and wires that lie inside whole.
fn inside(theme: &Theme, sheet: &Sheet<'_>, view: &View, lasso: Rect) -> BTreeSet<String> {
    let parts = sheet
        .harness
        .parts
        .iter()
        .filter(|part| lasso.contains(symbol_rect(theme, sheet, view, part).center()))
        .map(|part| part.id.clone());
    let wires = sheet
        .harness
        .runs
        .iter()
        .filter(|run| wire_path(run, view).iter().all(|at| lasso.contains(*at)))
        .map(|run| run.id.clone());
    parts.chain(wires).collect()
}
