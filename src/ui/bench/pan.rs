//! Moving about the sheet: pan, zoom, and clicks on what has no place of its own.

use egui::{Pos2, Ui};

use super::{
    draw::wire_path,
    lasso::lasso_ui,
    sheet::Sheet,
    view::{Chosen, View},
};
use crate::{
    app::Screen,
    drawing::Run,
    ui::{act::Act, theme::Theme},
};

/// Pan by dragging the bare sheet, choose by dragging it with Shift, zoom by the wheel with Ctrl or by pinching, click a
/// wire or nothing.
pub fn move_ui(
    ui: &Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    ground: &egui::Response,
    acts: &mut Vec<Act>,
) {
    if lasso_ui(ui, theme, sheet, view, ground, acts) {
        return;
    }
    if ground.dragged() && ground.drag_delta() != egui::Vec2::ZERO {
        acts.push(Act::Look(view.moved(
            chosen,
            ground.drag_delta(),
            sheet.harness,
        )));
    }
    if let Some(pointer) = ground.hover_pos().filter(|_| ground.contains_pointer()) {
        let (zoom, scroll) = ui.input(|input| (input.zoom_delta(), input.smooth_scroll_delta()));
        if (zoom - 1.0).abs() > 1e-4 {
            acts.push(Act::Look(view.zoomed(zoom, pointer, sheet.harness)));
        } else if scroll != egui::Vec2::ZERO
            && (chosen.piece.is_some() || !view.lanes_fit(sheet.harness))
        {
            acts.push(Act::Look(view.moved(chosen, scroll, sheet.harness)));
        }
    }
    if ground.double_clicked() {
        acts.push(Act::Look(Chosen::default()));
    } else if ground.clicked() {
        let wire = ground
            .interact_pointer_pos()
            .and_then(|at| nearest_wire(sheet, view, at));
        match wire {
            Some(wire) if ui.input(|input| input.modifiers.command) => {
                acts.push(Screen::SelectAlso(wire).into());
            }
            wire => acts.push(Screen::SelectPart(wire).into()),
        }
    }
}

/// The wire under a pointer, within a few points.
fn nearest_wire(sheet: &Sheet<'_>, view: &View, at: Pos2) -> Option<String> {
    let distance = |run: &Run| {
        wire_path(run, view)
            .windows(2)
            .map(|pair| {
                let (a, along) = (pair[0], pair[1] - pair[0]);
                let t = ((at - a).dot(along) / along.length_sq().max(1e-6)).clamp(0.0, 1.0);
                (a + along * t).distance(at)
            })
            .fold(f32::INFINITY, f32::min)
    };
    sheet
        .harness
        .runs
        .iter()
        .map(|run| (distance(run), run))
        .filter(|(distance, _)| *distance <= 10.0)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, run)| run.id.clone())
}
