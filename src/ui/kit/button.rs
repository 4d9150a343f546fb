//! Buttons: outlined, filled for the way on, quiet on a card, quiet on the banner; choices and ticks.

use egui::{
    Align2, Color32, CornerRadius, Key, Rect, Response, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
    accesskit::Role, pos2, vec2,
};

use super::{field::make_room, text::shortened};
use crate::ui::theme::{LINE, RADIUS, STRONG, Theme};

/// How loud a button is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// The way on; one per card.
    Primary,
    /// Anything else.
    Plain,
    /// A small action beside a line of text.
    Quiet,
    /// On the dark banner.
    Banner,
}

/// A button; its accessible name is its text, or `name` where the text alone does not say what it acts on.
pub fn button_ui(
    ui: &mut Ui,
    theme: &Theme,
    tone: Tone,
    text: &str,
    name: Option<&str>,
) -> Response {
    let c = &theme.colour;
    let font = match tone {
        Tone::Quiet | Tone::Banner => theme.body(),
        Tone::Plain | Tone::Primary => theme.strong(),
    };
    let text = shortened(text, 80);
    let galley = ui
        .painter()
        .layout_no_wrap(text.clone(), font, Color32::PLACEHOLDER);
    let inset = match tone {
        Tone::Quiet => 8.0,
        // A narrow banner asks for less.
        Tone::Banner => ui.spacing().button_padding.x + 2.0,
        Tone::Plain | Tone::Primary => 14.0,
    };
    let size = vec2(galley.size().x + 2.0 * inset, theme.size.target);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let enabled = ui.is_enabled();
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, name.unwrap_or(&text)));
    if ui.is_rect_visible(rect) {
        let pressed = response.is_pointer_button_down_on();
        let warm = response.hovered() || pressed;
        let bare = Color32::TRANSPARENT;
        let (ground, edge, ink) = match tone {
            Tone::Primary if !enabled => (c.band, c.edge, c.muted),
            Tone::Primary if warm => (c.primary_warm, c.primary_warm, c.primary_ink),
            Tone::Primary => (c.primary, c.primary, c.primary_ink),
            Tone::Plain if !enabled => (c.sheet, c.grid, c.muted),
            Tone::Plain if pressed => (c.selected, c.ink, c.ink),
            Tone::Plain if warm => (c.band, c.ink, c.ink),
            Tone::Plain => (c.sheet, c.edge, c.ink),
            Tone::Quiet if !enabled => (bare, bare, c.muted),
            Tone::Quiet if warm => (c.band, c.edge, c.ink),
            Tone::Quiet => (bare, bare, c.connector),
            // The banner shows through, whichever colour it has.
            Tone::Banner if !enabled => (bare, bare, c.banner_muted),
            Tone::Banner if warm => (bare, c.banner_muted, c.banner_ink),
            Tone::Banner => (bare, bare, c.banner_ink),
        };
        let painter = ui.painter();
        painter.rect(
            rect,
            CornerRadius::same(RADIUS),
            ground,
            Stroke::new(LINE, edge),
            StrokeKind::Inside,
        );
        let at = Align2::CENTER_CENTER
            .align_size_within_rect(galley.size(), rect)
            .min;
        painter.galley(at, galley, ink);
        focus_ring(ui, theme, &response, rect);
    }
    response
}

/// A large key of a pad.
pub fn key_ui(ui: &mut Ui, theme: &Theme, text: &str, name: &str, size: egui::Vec2) -> Response {
    let c = &theme.colour;
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let pressed = response.is_pointer_button_down_on();
    let ground = if pressed { c.selected } else { c.sheet };
    let edge = if pressed { c.ink } else { c.edge };
    let painter = ui.painter();
    let radius = CornerRadius::same(RADIUS);
    painter.rect(
        rect,
        radius,
        ground,
        Stroke::new(1.5, edge),
        StrokeKind::Inside,
    );
    painter.text(
        rect.center(),
        Align2::CENTER_CENTER,
        text,
        theme.figure(),
        c.ink,
    );
    focus_ring(ui, theme, &response, rect);
    response
}

/// A small action in a line of text, no higher than the line; its row may be lower than a target because the same is
/// always reachable elsewhere.
pub fn link_ui(ui: &mut Ui, theme: &Theme, text: &str) -> Response {
    named_link_ui(ui, theme, text, text)
}

/// The same with an accessible name of its own.
pub fn named_link_ui(ui: &mut Ui, theme: &Theme, text: &str, name: &str) -> Response {
    let c = &theme.colour;
    let galley = ui
        .painter()
        .layout_no_wrap(shortened(text, 60), theme.label(), c.connector);
    let high = if theme.size.target > 40.0 {
        theme.size.target
    } else {
        galley.size().y
    };
    let size = vec2(galley.size().x, high);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    if response.hovered() {
        let y = rect.bottom();
        ui.painter()
            .hline(rect.x_range(), y, Stroke::new(LINE, c.connector));
    }
    let at = pos2(rect.left(), rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, c.connector);
    focus_ring(ui, theme, &response, rect.expand(2.0));
    response
}

/// The ring round whatever has the keyboard.
pub fn focus_ring(ui: &Ui, theme: &Theme, response: &Response, rect: Rect) {
    if response.has_focus() {
        let colour = if rect.top() < theme.size.banner {
            theme.colour.banner_attention
        } else {
            theme.colour.focus
        };
        ui.painter().rect_stroke(
            rect.expand(1.0),
            CornerRadius::same(RADIUS + 1),
            Stroke::new(STRONG, colour),
            StrokeKind::Outside,
        );
    }
}

/// One of a few: joined boxes of which one is filled. Answers the one that was chosen now. `names` are the accessible
/// names.
pub fn choice_ui(
    ui: &mut Ui,
    theme: &Theme,
    options: &[(&str, &str)],
    chosen: usize,
) -> Option<usize> {
    let c = &theme.colour;
    let mut answer = None;
    let before = ui.spacing().item_spacing.x;
    let lay = |ui: &Ui, text: &str| {
        let font = theme.strong();
        let galley = ui
            .painter()
            .layout_no_wrap(text.to_owned(), font, Color32::PLACEHOLDER);
        let width = (galley.size().x + 20.0).max(theme.size.target);
        (galley, width)
    };
    let all = options.iter().map(|(text, _)| lay(ui, text).1).sum();
    make_room(ui, all);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        for (index, (text, name)) in options.iter().enumerate() {
            let (galley, width) = lay(ui, text);
            let (rect, mut response) =
                ui.allocate_exact_size(vec2(width, theme.size.target), Sense::click());
            let here = index == chosen;
            response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, here, name));
            if response.has_focus() {
                let step = ui.input(|input| {
                    i32::from(input.key_pressed(Key::ArrowRight))
                        - i32::from(input.key_pressed(Key::ArrowLeft))
                });
                if step != 0 && here {
                    let next = chosen.saturating_add_signed(step as isize);
                    answer = (next < options.len()).then_some(next);
                }
            }
            if response.clicked() && !here {
                answer = Some(index);
                response.mark_changed();
            }
            let (ground, ink) = match (here, response.hovered()) {
                (true, _) => (c.primary, c.primary_ink),
                (false, true) => (c.band, c.ink),
                (false, false) => (c.sheet, c.ink),
            };
            let corner = |left: bool, right: bool| CornerRadius {
                nw: if left { RADIUS } else { 0 },
                sw: if left { RADIUS } else { 0 },
                ne: if right { RADIUS } else { 0 },
                se: if right { RADIUS } else { 0 },
            };
            let painter = ui.painter();
            painter.rect(
                rect,
                corner(index == 0, index + 1 == options.len()),
                ground,
                Stroke::new(LINE, if here { c.primary } else { c.edge }),
                StrokeKind::Inside,
            );
            let at = Align2::CENTER_CENTER
                .align_size_within_rect(galley.size(), rect)
                .min;
            painter.galley(at, galley, ink);
            focus_ring(ui, theme, &response, rect.shrink(3.0));
        }
        ui.spacing_mut().item_spacing.x = before;
    });
    answer
}

/// A box that is ticked or not, with its text beside it.
pub fn tick_ui(ui: &mut Ui, theme: &Theme, text: &str, ticked: bool) -> Response {
    let c = &theme.colour;
    let galley = ui
        .painter()
        .layout_no_wrap(text.to_owned(), theme.body(), c.ink);
    let size = vec2(galley.size().x + 32.0, theme.size.target);
    let (rect, mut response) = ui.allocate_exact_size(size, Sense::click());
    let enabled = ui.is_enabled();
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, enabled, ticked, text));
    if response.clicked() {
        response.mark_changed();
    }
    let square = Rect::from_min_size(pos2(rect.left(), rect.center().y - 10.0), vec2(20.0, 20.0));
    let painter = ui.painter();
    let edge = if response.hovered() || ticked {
        c.ink
    } else {
        c.muted
    };
    painter.rect(
        square,
        CornerRadius::same(3),
        if ticked { c.primary } else { c.sheet },
        Stroke::new(1.5, edge),
        StrokeKind::Inside,
    );
    if ticked {
        let p = |x: f32, y: f32| pos2(square.left() + x, square.top() + y);
        painter.line(
            vec![p(5.0, 10.5), p(8.6, 14.5), p(15.0, 6.0)],
            Stroke::new(2.2, c.primary_ink),
        );
    }
    painter.galley(
        pos2(rect.left() + 30.0, rect.center().y - galley.size().y / 2.0),
        galley,
        c.ink,
    );
    focus_ring(ui, theme, &response, square.expand(2.0));
    response
}

/// A rounded outline with a word on the banner; pressing it acts.
pub fn pill_ui(ui: &mut Ui, theme: &Theme, text: &str, name: &str, loud: bool) -> Response {
    let c = &theme.colour;
    let text = shortened(text, 60);
    let galley = ui
        .painter()
        .layout_no_wrap(text, theme.strong(), Color32::PLACEHOLDER);
    let size = vec2(
        galley.size().x + 36.0,
        theme.size.target.min(theme.size.banner - 14.0),
    );
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let radius = CornerRadius::same((rect.height() / 2.0) as u8);
    let (ground, ink, edge) = if loud {
        (c.banner_attention, c.banner, c.banner_attention)
    } else {
        (Color32::TRANSPARENT, c.banner_muted, c.banner_muted)
    };
    let painter = ui.painter();
    painter.rect(
        rect,
        radius,
        ground,
        Stroke::new(1.5, edge),
        StrokeKind::Inside,
    );
    let at = Align2::CENTER_CENTER
        .align_size_within_rect(galley.size(), rect)
        .min;
    painter.galley(at, galley, ink);
    if response.has_focus() {
        painter.rect_stroke(
            rect.expand(2.0),
            radius,
            Stroke::new(STRONG, c.banner_ink),
            StrokeKind::Outside,
        );
    }
    response
}
