//! The toolkit's own widgets (fields, scroll bars, menus) dressed in the theme.

use egui::{
    Color32, CornerRadius, Margin, Shadow, Stroke, Style, TextStyle, Visuals, style::WidgetVisuals,
    vec2,
};

use super::{CARD_RADIUS, LINE, RADIUS, STRONG, Theme};

/// Applies a theme to both of the context's style slots, so that the desktop's own preference changes nothing.
pub fn install(ctx: &egui::Context, theme: &Theme) {
    ctx.set_theme(if theme.dim {
        egui::Theme::Dark
    } else {
        egui::Theme::Light
    });
    ctx.all_styles_mut(|style| apply(style, theme));
}

fn apply(style: &mut Style, theme: &Theme) {
    style.text_styles = [
        (TextStyle::Small, theme.small()),
        (TextStyle::Body, theme.body()),
        (TextStyle::Button, theme.strong()),
        (TextStyle::Heading, theme.heading()),
        (TextStyle::Monospace, theme.body()),
    ]
    .into();
    style.animation_time = 0.0;
    style.spacing.item_spacing = vec2(theme.size.gap, 6.0);
    style.spacing.button_padding = vec2(12.0, 6.0);
    style.spacing.interact_size = vec2(theme.size.target, theme.size.target);
    style.spacing.window_margin = Margin::same(16);
    let scroll = &mut style.spacing.scroll;
    scroll.floating = false;
    scroll.foreground_color = false;
    scroll.bar_width = theme.size.reach.min(14.0) - 5.0;
    scroll.bar_inner_margin = 5.0;
    scroll.bar_outer_margin = 0.0;
    visuals(&mut style.visuals, theme);
}

fn visuals(visuals: &mut Visuals, theme: &Theme) {
    let c = &theme.colour;
    visuals.dark_mode = theme.dim;
    visuals.override_text_color = None;
    visuals.weak_text_color = Some(c.muted);
    visuals.hyperlink_color = c.connector;
    visuals.faint_bg_color = c.band;
    visuals.extreme_bg_color = c.sheet;
    visuals.text_edit_bg_color = Some(c.sheet);
    visuals.code_bg_color = c.band;
    visuals.warn_fg_color = c.attention_text;
    visuals.error_fg_color = c.suspect_text;
    visuals.window_corner_radius = CornerRadius::same(CARD_RADIUS);
    visuals.window_shadow = Shadow {
        offset: [0, 4],
        blur: 18,
        spread: 0,
        color: Color32::from_black_alpha(60),
    };
    visuals.popup_shadow = visuals.window_shadow;
    visuals.window_fill = c.sheet;
    visuals.window_stroke = Stroke::new(LINE, c.edge);
    visuals.menu_corner_radius = CornerRadius::same(RADIUS);
    visuals.panel_fill = c.desk;
    visuals.text_cursor.stroke = Stroke::new(STRONG, c.ink);
    visuals.text_cursor.blink = false;
    visuals.selection.bg_fill = c.selected;
    visuals.selection.stroke = Stroke::new(STRONG, c.focus);
    let state = |ground: Color32, edge: Stroke, ink: Color32| WidgetVisuals {
        bg_fill: ground,
        weak_bg_fill: ground,
        bg_stroke: edge,
        corner_radius: CornerRadius::same(RADIUS),
        fg_stroke: Stroke::new(STRONG, ink),
        expansion: 0.0,
    };
    let widgets = &mut visuals.widgets;
    widgets.noninteractive = state(c.sheet, Stroke::new(LINE, c.edge), c.ink);
    widgets.inactive = state(c.sheet, Stroke::new(LINE, c.edge), c.ink);
    widgets.hovered = state(c.band, Stroke::new(LINE, c.ink), c.ink);
    widgets.active = state(c.selected, Stroke::new(STRONG, c.focus), c.ink);
    // Only the handles of scroll bars wear this ground.
    widgets.inactive.bg_fill = c.edge;
    widgets.hovered.bg_fill = c.muted;
    widgets.active.bg_fill = c.muted;
    widgets.open = state(c.band, Stroke::new(LINE, c.ink), c.ink);
}
