//! The proof of a repair: what must read right now, ticked off by new readings.

use egui::{Sense, Stroke, Ui, pos2, vec2};

use super::next::begun;

use crate::{
    app::Model,
    ui::{
        act::Act,
        kit::{Tone, button_ui, card_ui, text_ui},
        theme::Theme,
    },
};

/// The card; nothing where nothing was repaired.
pub fn proof_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let Some(answer) = &model.answer else { return };
    let found = answer.findings.as_ref();
    let (Some(words), Some(proof)) = (&answer.words.proof, &found.proof) else {
        return;
    };
    let c = &theme.colour;
    let title = format!("{}: the repair of {}", words.verdict, proof.part);
    card_ui(ui, theme, &title, "", |ui| {
        text_ui(ui, &words.detail, theme.label(), c.muted);
        for (check, line) in proof.checks.iter().zip(&words.lines) {
            ui.horizontal(|ui| {
                mark_ui(ui, theme, line.right);
                if line.right != Some(true) {
                    let name = format!("Read {}, {}", line.point, line.state);
                    let read = button_ui(ui, theme, Tone::Quiet, "Read", Some(&name));
                    if read.on_hover_text(&line.why).clicked() {
                        let leads = (&check.red, &check.black);
                        acts.extend(begun(&check.state, check.kind, leads, Vec::new()));
                    }
                }
                let reads = match line.reads.as_str() {
                    "" => String::new(),
                    reads => format!("reads {reads}, "),
                };
                let text = format!(
                    "{}, {}: {reads}must read {}",
                    line.point, line.state, line.should_read
                );
                text_ui(ui, &text, theme.body(), c.ink);
            });
        }
    });
}

/// A tick for right, a cross for wrong, an empty box for not read yet.
fn mark_ui(ui: &mut Ui, theme: &Theme, right: Option<bool>) {
    let c = &theme.colour;
    let (rect, _) = ui.allocate_exact_size(vec2(20.0, 20.0), Sense::empty());
    let p = |x: f32, y: f32| pos2(rect.left() + x, rect.top() + y);
    let painter = ui.painter();
    match right {
        Some(true) => {
            let stroke = Stroke::new(2.6, c.healthy);
            painter.line(vec![p(4.0, 10.5), p(8.6, 15.0), p(16.0, 5.0)], stroke);
        }
        Some(false) => {
            let stroke = Stroke::new(2.6, c.suspect);
            painter.line_segment([p(4.0, 4.0), p(16.0, 16.0)], stroke);
            painter.line_segment([p(16.0, 4.0), p(4.0, 16.0)], stroke);
        }
        None => {
            let stroke = Stroke::new(1.5, c.muted);
            painter.rect_stroke(
                rect.shrink(3.0),
                egui::CornerRadius::same(2),
                stroke,
                egui::StrokeKind::Inside,
            );
        }
    }
}
