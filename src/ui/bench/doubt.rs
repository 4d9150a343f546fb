//! How many suspects every reading left, in bits, beside what halving them each time would have left.

use egui::{Align2, Pos2, Rect, Sense, Shape, Stroke, Ui, WidgetInfo, accesskit::Role, pos2, vec2};

use crate::{
    app::left::{Left, halved},
    ui::{
        kit::text_ui,
        theme::{LINE, STRONG, Theme},
    },
};

/// Points left of the plot for the bits, below it for the lines of the log, and above it.
const LEFT: f32 = 44.0;
const BELOW: f32 = 22.0;
const ABOVE: f32 = 8.0;
/// Least distance of two numbers on an axis.
const APART: f32 = 26.0;

/// The plot; `left` is none while it is being worked out.
pub fn doubt_ui(ui: &mut Ui, theme: &Theme, left: Option<&[Left]>) {
    let c = &theme.colour;
    let Some(left) = left else {
        let text = "Working out what every reading left …";
        text_ui(ui, text, theme.body(), c.muted);
        return;
    };
    let (Some(first), Some(last)) = (left.first(), left.last()) else {
        return;
    };
    if last.lines == 0 {
        let text = "No reading yet. Every reading leaves fewer suspects; this shows how many.";
        text_ui(ui, text, theme.body(), c.muted);
        return;
    }
    text_ui(ui, &told(first, last), theme.body(), c.ink);
    let size = vec2(
        ui.available_width(),
        (ui.available_height() - 4.0).max(84.0),
    );
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, spoken(left)));
    let plot = Rect::from_min_max(
        rect.min + vec2(LEFT, ABOVE),
        rect.max - vec2(theme.size.card, BELOW),
    );
    let most = left.iter().map(|at| at.bits).fold(1.0, f64::max).ceil();
    let at = |lines: usize, bits: f64| {
        let across = lines as f32 / last.lines as f32;
        let up = (bits / most) as f32;
        pos2(
            plot.left() + across * plot.width(),
            plot.bottom() - up * plot.height(),
        )
    };
    axes_ui(ui, theme, plot, most, last.lines, &at);
    let painter = ui.painter_at(rect);
    let ideal: Vec<Pos2> = (0..=last.lines)
        .map(|lines| at(lines, halved(first.bits, lines)))
        .collect();
    painter.extend(Shape::dashed_line(
        &ideal,
        Stroke::new(STRONG, c.healthy),
        6.0,
        5.0,
    ));
    let path: Vec<Pos2> = left.iter().map(|left| at(left.lines, left.bits)).collect();
    painter.add(Shape::line(path.clone(), Stroke::new(STRONG + 0.8, c.ink)));
    for place in &path {
        painter.circle(*place, 4.5, c.sheet, Stroke::new(STRONG, c.ink));
    }
    key_ui(ui, theme, plot);
    if let Some(pointer) = response.hover_pos() {
        let near = left.iter().min_by(|a, b| {
            let off = |left: &Left| (at(left.lines, left.bits).x - pointer.x).abs();
            off(a).total_cmp(&off(b))
        });
        if let Some(near) = near {
            response.on_hover_text_at_pointer(said(near));
        }
    }
}

/// Bits at the left, lines of the log below.
fn axes_ui(
    ui: &Ui,
    theme: &Theme,
    plot: Rect,
    most: f64,
    lines: usize,
    at: &impl Fn(usize, f64) -> Pos2,
) {
    let c = &theme.colour;
    let painter = ui.painter();
    let step = |count: f64, length: f32| {
        let raw = count * f64::from(APART / length.max(1.0));
        [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0]
            .into_iter()
            .find(|step| *step >= raw)
            .unwrap_or(1_000.0)
    };
    let up = step(most, plot.height());
    for k in 0..=(most / up) as usize {
        let bits = k as f64 * up;
        let y = at(0, bits).y;
        painter.hline(plot.x_range(), y, Stroke::new(LINE, c.grid));
        let text = format!("{bits:.0} bit");
        let place = pos2(plot.left() - 8.0, y);
        painter.text(place, Align2::RIGHT_CENTER, text, theme.small(), c.muted);
    }
    let across = step(lines as f64, plot.width()) as usize;
    for line in (0..=lines).step_by(across.max(1)) {
        let text = match line {
            0 => "before".to_owned(),
            line => format!("line {line}"),
        };
        let place = pos2(at(line, 0.0).x, plot.bottom() + 5.0);
        let align = match line {
            0 => Align2::LEFT_TOP,
            line if line == lines => Align2::RIGHT_TOP,
            _ => Align2::CENTER_TOP,
        };
        painter.text(place, align, text, theme.small(), c.muted);
    }
}

/// What the two lines are.
fn key_ui(ui: &Ui, theme: &Theme, plot: Rect) {
    let c = &theme.colour;
    let painter = ui.painter();
    let rows = [
        ("left after the reading", c.ink),
        ("if each had halved them", c.healthy_text),
    ];
    for (row, (text, ink)) in rows.into_iter().enumerate() {
        let at = pos2(plot.right(), plot.top() + 15.0 * row as f32);
        painter.text(at, Align2::RIGHT_TOP, text, theme.small_strong(), ink);
    }
}

/// As many equally likely suspects as hold so many bits.
fn equal(bits: f64) -> String {
    let count = bits.exp2();
    if count < 9.5 {
        format!("{count:.1}")
    } else {
        format!("{count:.0}")
    }
}

fn told(first: &Left, last: &Left) -> String {
    format!(
        "Before any reading as much doubt as between {} equal suspects ({:.1} bit); now as between {} ({:.1} bit).",
        equal(first.bits),
        first.bits,
        equal(last.bits),
        last.bits
    )
}

fn said(left: &Left) -> String {
    let when = match left.lines {
        0 => "before any reading".to_owned(),
        line => format!("after line {line}"),
    };
    format!(
        "{when}: {:.1} bit, as {} equal suspects",
        left.bits,
        equal(left.bits)
    )
}

fn spoken(left: &[Left]) -> String {
    let all: Vec<String> = left.iter().map(said).collect();
    format!("Plot of the suspects left: {}", all.join("; "))
}
