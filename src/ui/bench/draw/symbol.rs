//! Symbols of parts: IEC 60617 where it has one (fuse, resistor, earth, junction, contact), own ones where it has not.

use egui::{
    Align2, Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2,
};

use crate::ui::{
    kit::shortened,
    theme::{LINE, RADIUS, STRONG, Theme},
};

/// Height of a sensor's box under which its line is fine.
const LOW: f32 = 16.0;

/// The module: a filled box left of its feed pin.
pub fn supply_ui(painter: &Painter, theme: &Theme, pin: Pos2, id: &str, volts: &str) {
    let c = &theme.colour;
    let rect = Rect::from_min_max(
        pos2(pin.x - 62.0, pin.y - 33.0),
        pos2(pin.x - 13.0, pin.y + 33.0),
    );
    painter.rect_filled(rect, CornerRadius::same(RADIUS), c.ink);
    let line = |dy: f32, text: &str, font| {
        let at = rect.center() + vec2(0.0, dy);
        painter.text(at, Align2::CENTER_CENTER, text, font, c.sheet);
    };
    line(-9.0, &shortened(id, 5), theme.heading());
    line(11.0, volts, theme.label());
    painter.line_segment([pos2(rect.right(), pin.y), pin], Stroke::new(3.0, c.ink));
}

/// Two facing brackets of this half height on a line; well apart when unplugged.
pub fn connector_ui(
    painter: &Painter,
    theme: &Theme,
    (at, height): (Pos2, f32),
    plugged: bool,
    cut_off: bool,
) {
    let c = &theme.colour;
    let colour = match (plugged, cut_off) {
        (false, _) => c.attention,
        (true, true) => c.cut_off,
        (true, false) => c.connector,
    };
    let stroke = Stroke::new(if plugged { 2.6 } else { 3.4 }, colour);
    let (gap, lip) = (if plugged { 9.0 } else { 17.0 }, 5.0);
    // Between the brackets lies bare sheet; mated, the contact bridges it.
    let bare = Rect::from_center_size(at, vec2(2.0 * gap - 3.0, 12.0));
    painter.rect_filled(bare, CornerRadius::ZERO, c.sheet);
    if plugged {
        let ink = if cut_off { c.cut_off } else { c.ink };
        let contact = [at - vec2(4.0, 0.0), at + vec2(4.0, 0.0)];
        painter.line_segment(contact, Stroke::new(3.0, ink));
    }
    for side in [-1.0, 1.0] {
        let x = at.x + side * gap;
        let inner = x - side * lip;
        painter.add(Shape::line(
            vec![
                pos2(inner, at.y - height),
                pos2(x, at.y - height),
                pos2(x, at.y + height),
                pos2(inner, at.y + height),
            ],
            stroke,
        ));
    }
}

/// A question mark over a connector of which nobody knows whether it is plugged.
pub fn unknown_ui(painter: &Painter, theme: &Theme, at: Pos2) {
    let c = &theme.colour;
    painter.circle(at, 9.0, c.attention_wash, Stroke::new(STRONG, c.attention));
    painter.text(
        at,
        Align2::CENTER_CENTER,
        "?",
        theme.strong(),
        c.attention_text,
    );
}

/// A dashed ring round what the next test asks for.
pub fn wanted_ui(painter: &Painter, theme: &Theme, at: Pos2, radius: f32) {
    let around = (0..=48).map(|step| {
        let angle = std::f32::consts::TAU * step as f32 / 48.0;
        at + radius * vec2(angle.cos(), angle.sin())
    });
    let around: Vec<Pos2> = around.collect();
    let stroke = Stroke::new(2.5, theme.colour.attention);
    painter.extend(Shape::dashed_line(&around, stroke, 5.0, 4.0));
}

/// A mark of damage: a word on the attention's ground.
pub fn happened_ui(painter: &Painter, theme: &Theme, at: Pos2, text: &str) -> Rect {
    let c = &theme.colour;
    let galley =
        painter.layout_no_wrap(shortened(text, 24), theme.small_strong(), c.attention_text);
    let rect = Rect::from_center_size(at, galley.size() + vec2(8.0, 2.0));
    painter.rect(
        rect,
        CornerRadius::same(3),
        c.attention_wash,
        Stroke::new(1.0, c.attention),
        StrokeKind::Inside,
    );
    painter.galley(rect.min + vec2(4.0, 1.0), galley, Color32::PLACEHOLDER);
    rect
}

/// A junction: a dot (IEC 60617, junction).
pub fn splice_ui(painter: &Painter, theme: &Theme, at: Pos2, cut_off: bool) {
    let c = &theme.colour;
    painter.circle_filled(at, 6.0, if cut_off { c.cut_off } else { c.ink });
}

/// Earth (IEC 60617): three shrinking strokes under a stem of this length.
pub fn ground_ui(painter: &Painter, theme: &Theme, at: Pos2, stem: f32) {
    let stroke = Stroke::new(STRONG, theme.colour.ink);
    let base = at.y + stem;
    painter.line_segment([at, pos2(at.x, base)], stroke);
    for (index, half) in [9.0, 6.0, 3.0].into_iter().enumerate() {
        let y = base + index as f32 * 4.0;
        painter.line_segment([pos2(at.x - half, y), pos2(at.x + half, y)], stroke);
    }
}

/// A fuse (IEC 60617): a rectangle with the line through it.
pub fn fuse_ui(painter: &Painter, theme: &Theme, at: Pos2, cut_off: bool) {
    let c = &theme.colour;
    let ink = if cut_off { c.cut_off } else { c.ink };
    let rect = Rect::from_center_size(at, vec2(34.0, 14.0));
    painter.rect(
        rect,
        CornerRadius::ZERO,
        c.sheet,
        Stroke::new(STRONG, ink),
        StrokeKind::Middle,
    );
    painter.line_segment(
        [rect.left_center(), rect.right_center()],
        Stroke::new(STRONG, ink),
    );
}

/// A load: a rectangle with its designation (IEC 60617 draws a resistor, and any general element, as a rectangle).
pub fn load_ui(painter: &Painter, theme: &Theme, rect: Rect, id: &str, cut_off: bool) {
    let c = &theme.colour;
    let (edge, ink) = if cut_off {
        (c.cut_off, c.muted)
    } else {
        (c.ink, c.ink)
    };
    // A low box keeps a fine line, so that its letters do not lie on it.
    let line = if rect.height() < LOW { LINE } else { STRONG };
    painter.rect(
        rect,
        CornerRadius::same(3),
        c.sheet,
        Stroke::new(line, edge),
        StrokeKind::Inside,
    );
    let at = rect.center();
    let mut font = theme.mark();
    font.size = font.size.min(rect.height() - 1.0).max(10.5);
    painter.text(at, Align2::CENTER_CENTER, shortened(id, 10), font, ink);
}

/// A rail of another origin: a terminal ring with its name beside it.
pub fn rail_ui(painter: &Painter, theme: &Theme, at: Pos2, text: &str) {
    let c = &theme.colour;
    painter.circle(at, 5.0, c.sheet, Stroke::new(STRONG, c.ink));
    let galley = painter.layout_no_wrap(shortened(text, 24), theme.label(), c.ink);
    let rect = Rect::from_min_size(
        pos2(at.x + 11.0, at.y - galley.size().y / 2.0),
        galley.size(),
    );
    painter.galley(rect.min, galley, Color32::PLACEHOLDER);
    painter.line_segment(
        [at + vec2(5.0, 0.0), at + vec2(9.0, 0.0)],
        Stroke::new(LINE, c.ink),
    );
}
