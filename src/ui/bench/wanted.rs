//! Marks over the drawing: what the next test asks for, what happened to parts, where a wire that is being drawn begins.

use egui::{Painter, Stroke, vec2};

use super::{
    draw,
    place::Taken,
    sheet::Sheet,
    spot::{point_at, symbol_rect},
    view::View,
    whose::Sight,
};
use crate::{
    advise::{Asked, Best, Move},
    app::zones::happened,
    circuit::Point,
    ui::theme::Theme,
};

/// Dashed rings round the connectors and the point of the next test.
pub fn wanted_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
    let advice = sheet.findings.map(|findings| &findings.next);
    let Some(advice) = advice.filter(|advice| advice.best == Best::Test) else {
        return;
    };
    let Some(test) = advice.tests.first() else {
        return;
    };
    for step in &test.moves {
        let (Move::Unplug(id) | Move::Plug(id)) = step else {
            continue;
        };
        if let Some(part) = sheet.part(id) {
            let rect = symbol_rect(theme, sheet, view, part);
            draw::wanted_ui(painter, theme, rect.center(), 25.0);
        }
    }
    if let Asked::Read { red, .. } = &test.asked
        && let Some(at) = point_at(theme, sheet, view, red)
    {
        draw::wanted_ui(painter, theme, at, 13.0);
    }
}

/// A word at every part that was hit, wet, opened or worked on.
pub fn happened_ui(sight: &Sight<'_>, taken: &mut Taken) {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    if sheet.circuit.damage_zones.is_empty() {
        return;
    }
    let mut mark = |at: egui::Pos2, clear: f32, id: &str| {
        if !whose.shows(at) {
            return;
        }
        let words = happened(sheet.circuit, id);
        if words.is_empty() {
            return;
        }
        let text = words.join(", ");
        let size = vec2(8.0 * text.len().min(24) as f32 + 8.0, 17.0);
        if let Some(spot) = taken.first(size, Taken::around(at, size, clear)) {
            draw::happened_ui(painter, theme, spot.center(), &text);
        }
    };
    for run in &sheet.harness.runs {
        if let Some((a, b)) = run.span() {
            mark(view.at(a).lerp(view.at(b), 0.5), 8.0, &run.id);
        }
    }
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        mark(rect.center(), rect.height() / 2.0 + 4.0, &part.id);
    }
}

/// The end from which a wire is being drawn, with a line to the pointer.
pub fn wiring_ui(ui: &egui::Ui, theme: &Theme, sheet: &Sheet<'_>, view: &View, from: &Point) {
    let Some(at) = point_at(theme, sheet, view, from) else {
        return;
    };
    let painter = ui.painter_at(view.rect);
    let stroke = Stroke::new(3.0, theme.colour.focus);
    painter.circle_stroke(at, 9.0, stroke);
    if let Some(pointer) = ui
        .input(|input| input.pointer.hover_pos())
        .filter(|p| view.rect.contains(*p))
    {
        painter.line_segment([at, pointer], stroke);
    }
}
