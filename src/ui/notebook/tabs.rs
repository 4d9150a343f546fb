//! The strip of open jobs under the banner, shown once there are several: whose vehicle each is, and what is loose on it.

use egui::{
    CornerRadius, Frame, Margin, Panel, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
    accesskit::Role, pos2, vec2,
};

use crate::{
    app::{FileCommand, Model, command::Leave, open_jobs::Tab},
    ui::{
        act::Act,
        kit::{Tone, button_ui, fitted, focus_ring},
        theme::{RADIUS, STRONG, Theme},
    },
};

/// Width of a job in the strip, and of the button behind them with the margins.
const WIDTH: f32 = 250.0;
const CLOSE: f32 = 170.0;

/// The strip.
pub fn tabs_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if model.beside.is_empty() {
        return;
    }
    let c = &theme.colour;
    let high = theme.size.target + 12.0;
    // Where they have to be scrolled, the bar stands under them and not on them.
    let tabs = (model.beside.len() + 1) as f32 * (WIDTH + ui.spacing().item_spacing.x);
    let scroll = &ui.spacing().scroll;
    let bar = if tabs + CLOSE > ui.available_width() {
        scroll.bar_width + scroll.bar_inner_margin + scroll.bar_outer_margin
    } else {
        0.0
    };
    let frame = Frame::new()
        .fill(c.band)
        .inner_margin(Margin::symmetric(theme.size.card as i8, 4));
    Panel::top("open jobs")
        .exact_size(high + 8.0 + bar)
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| {
            ScrollArea::horizontal().show(ui, |ui| {
                ui.horizontal(|ui| {
                    for tab in model.tabs() {
                        tab_ui(ui, theme, &tab, high - 4.0, acts);
                    }
                    let name = "Close the job on the bench";
                    if button_ui(ui, theme, Tone::Quiet, "Close this job", Some(name))
                        .on_hover_text("Asks first where something is not saved (Ctrl+W)")
                        .clicked()
                    {
                        acts.push(FileCommand::Leave(Leave::Close).into());
                    }
                });
            });
        });
}

fn tab_ui(ui: &mut Ui, theme: &Theme, tab: &Tab, high: f32, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let (rect, response) = ui.allocate_exact_size(vec2(WIDTH, high), Sense::click());
    let or = |text: &str, other: &str| match text.trim() {
        "" => other.to_owned(),
        text => text.to_owned(),
    };
    let vehicle = or(&tab.vehicle, "Vehicle not named");
    let title = or(&tab.title, "Job without a title");
    let mut notes = Vec::new();
    if tab.loose > 0 {
        notes.push(format!("{} not plugged", tab.loose));
    }
    if tab.dirty {
        notes.push("not saved".to_owned());
    }
    let said = if notes.is_empty() {
        String::new()
    } else {
        format!(" ({})", notes.join(", "))
    };
    let verb = if tab.here { "On the bench" } else { "Go to" };
    let spoken = format!("{verb}: {vehicle}, {title}{said}");
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, tab.here, &spoken));
    let (ground, ink, second, edge) = if tab.here {
        (c.banner, c.banner_ink, c.banner_muted, c.banner)
    } else if response.hovered() {
        (c.sheet, c.ink, c.muted, c.ink)
    } else {
        (c.sheet, c.ink, c.muted, c.edge)
    };
    let radius = CornerRadius::same(RADIUS);
    let painter = ui.painter().clone();
    painter.rect(
        rect,
        radius,
        ground,
        Stroke::new(1.0, edge),
        StrokeKind::Inside,
    );
    if tab.here {
        // The same mark as under the page in sight.
        let side = rect.y_range().shrink(5.0);
        painter.vline(
            rect.left() + 2.5,
            side,
            Stroke::new(STRONG + 1.0, c.banner_attention),
        );
    }
    if tab.loose > 0 {
        let bar = rect.x_range().shrink(6.0);
        painter.hline(
            bar,
            rect.bottom() - 2.0,
            Stroke::new(STRONG + 1.0, c.attention),
        );
    }
    let wide = rect.width() - 20.0;
    let first = fitted(ui, &vehicle, theme.strong(), ink, wide);
    let below = if notes.is_empty() {
        title
    } else {
        format!("{} · {title}", notes.join(", "))
    };
    let below = fitted(ui, &below, theme.small(), second, wide);
    let room = first.size().y + below.size().y;
    let top = rect.center().y - room / 2.0;
    let under = top + first.size().y;
    painter.galley(pos2(rect.left() + 10.0, top), first, ink);
    painter.galley(pos2(rect.left() + 10.0, under), below, second);
    focus_ring(ui, theme, &response, rect.shrink(2.0));
    if response.clicked() && !tab.here {
        acts.push(FileCommand::Leave(Leave::Switch(tab.number)).into());
    }
}
