//! The simulated meter, and the hint.

use egui::{CornerRadius, Frame, Margin, Stroke, Ui};

use super::vehicle::Page;
use crate::{
    app::{
        points,
        practice::{Command, stood},
        words,
    },
    circuit::{Point, Terminal},
    explain::names,
    practice::{
        Hint, Move, care,
        session::{HINT, KEY},
    },
    quantity::format::clock,
    reading::{Kind, Lamp},
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, card_ui, choice_ui, kept_ui, label_ui, line_ui, text_ui},
        theme::{CARD_RADIUS, LINE, RADIUS, STRONG, Theme},
    },
};

const KINDS: [(Kind, &str, &str); 3] = [
    (Kind::Volts, "V", "volts"),
    (Kind::Ohms, "Ω", "ohms"),
    (Kind::Amperes, "A", "amperes"),
];
/// The kinds of the second row.
const FURTHER: [(Kind, &str, &str); 4] = [
    (Kind::Clamp, "Clamp", "amperes by clamp"),
    (Kind::Lamp(Lamp::Led), "LED", "LED with its resistor"),
    (Kind::Lamp(Lamp::Filament), "Lamp", "test lamp"),
    (Kind::Scan, "Scan", "answers on the scan"),
];

/// The card of the meter.
pub fn meter_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let bench = &page.go.bench;
    let kind = bench.entry.kind;
    let point = bench.selection.point.as_ref();
    let black = &bench.entry.black;
    card_ui(ui, theme, "Meter", &stood(page.go.session.now()), |ui| {
        ui.horizontal(|ui| {
            let width = 3.0 * theme.size.target.max(40.0) + 8.0;
            let field = Field {
                name: "Red lead",
                hint: "click a point",
                width: (ui.available_width() - width).max(80.0),
                bare: true,
                ..Field::default()
            };
            lead_ui(
                ui,
                theme,
                page,
                point,
                &field,
                |point| Command::Point(Some(point)),
                acts,
            );
            kinds_ui(ui, theme, &KINDS, kind, acts);
        });
        kinds_ui(ui, theme, &FURTHER, kind, acts);
        let words = point.map_or_else(|| "No point is chosen yet.".to_owned(), words::point);
        line_ui(ui, &words, theme.label(), c.muted);
        display_ui(ui, theme, page);
        black_ui(ui, theme, page, acts);
        if let Some(caution) = care::measuring(kind) {
            text_ui(ui, caution, theme.label(), c.attention_text);
        }
        ui.horizontal_wrapped(|ui| {
            let price = point.and_then(|red| page.go.session.price_of(kind, red, black));
            let text = price.map_or_else(
                || "Measure".to_owned(),
                |minutes| format!("Measure ({})", clock(minutes)),
            );
            ui.add_enabled_ui(page.is_free() && point.is_some(), |ui| {
                let button = button_ui(ui, theme, Tone::Primary, &text, Some("Measure"));
                if let (true, Some(red)) = (button.clicked(), point) {
                    let (red, black) = (red.clone(), black.clone());
                    acts.push(Command::Do(Move::Read { kind, red, black }).into());
                }
            });
            ask_ui(ui, theme, page, acts);
        });
        more_ui(ui, theme, page, acts);
    });
}

/// A row of kinds to choose from.
fn kinds_ui(
    ui: &mut Ui,
    theme: &Theme,
    kinds: &[(Kind, &str, &str)],
    chosen: Kind,
    acts: &mut Vec<Act>,
) {
    let options: Vec<(&str, &str)> = kinds.iter().map(|(_, sign, word)| (*sign, *word)).collect();
    let at = kinds.iter().position(|(kind, ..)| *kind == chosen);
    if let Some(at) = choice_ui(ui, theme, &options, at.unwrap_or(usize::MAX)) {
        acts.push(Command::Kind(kinds[at].0).into());
    }
}

/// The way to a hint.
fn ask_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    ui.add_enabled_ui(page.is_free() && page.go.hint().is_none(), |ui| {
        let text = format!("Hint ({})", clock(HINT));
        let button = button_ui(ui, theme, Tone::Plain, &text, Some("Ask for a hint"));
        if button
            .on_hover_text("What the advice would be now; it costs minutes")
            .clicked()
        {
            acts.push(Command::Do(Move::Hint).into());
        }
    });
}

/// Known load and key.
fn more_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let attached = &page.go.session.now().attached;
    let loaded = |point: &Point| attached.iter().any(|load| load.from == *point);
    let chosen = page.go.bench.selection.point.as_ref();
    ui.horizontal_wrapped(|ui| {
        if !page.is_free() {
            ui.disable();
        }
        if let Some(point) = chosen.filter(|p| !p.is_battery_negative() && !loaded(p)) {
            let name = format!("Clip a known load on at {point}");
            if button_ui(ui, theme, Tone::Plain, "Clip a load on", Some(&name)).clicked() {
                acts.push(Command::Do(Move::Load(point.clone())).into());
            }
        }
        for load in attached {
            let text = format!("Take the load off {}", load.from);
            if button_ui(ui, theme, Tone::Plain, &text, None).clicked() {
                acts.push(Command::Do(Move::Load(load.from.clone())).into());
            }
        }
        let text = format!("Cycle the key ({})", clock(KEY));
        if button_ui(ui, theme, Tone::Plain, &text, Some("Cycle the key")).clicked() {
            acts.push(Command::Do(Move::Key).into());
        }
    });
}

/// What the meter shows, and where the red lead is. Nothing once a lead was moved or the vehicle is not as it was.
fn display_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>) {
    let c = &theme.colour;
    let (text, place) = match (page.go.display(), &page.go.bench.selection.point) {
        (Some(reading), _) => (names::shown(reading), words::point(&reading.red)),
        (None, Some(_)) => ("– – –".to_owned(), "not measured".to_owned()),
        (None, None) => ("– – –".to_owned(), "no point is chosen".to_owned()),
    };
    Frame::new()
        .fill(c.band)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(CornerRadius::same(RADIUS))
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal(|ui| {
                ui.spacing_mut().interact_size.y = 26.0;
                label_ui(ui, &text, theme.figure(), c.ink);
                line_ui(ui, &place, theme.label(), c.muted);
            })
            .response
            .widget_info(|| {
                let name = format!("Display: {text}, {place}");
                egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, name)
            });
        });
}

/// Where the black lead is: battery negative, a module's return, or any point that is typed.
fn black_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let circuit = &page.go.bench.job.circuit;
    let black = &page.go.bench.entry.black;
    let mut usual = vec![Point::battery_negative()];
    let returns = circuit
        .supplies
        .iter()
        .map(|s| Point::new(&s.id, Terminal::Return));
    usual.extend(returns.take(1).filter(|point| circuit.has_point(point)));
    ui.horizontal(|ui| {
        label_ui(ui, "Black lead", theme.label(), theme.colour.muted);
        let names: Vec<(String, String)> = (usual.iter())
            .map(|point| {
                (
                    point.shown(),
                    format!("Black lead on {}", words::point(point)),
                )
            })
            .collect();
        let options: Vec<(&str, &str)> = names
            .iter()
            .map(|(a, b)| (a.as_str(), b.as_str()))
            .collect();
        let at = usual
            .iter()
            .position(|point| point == black)
            .unwrap_or(usize::MAX);
        if let Some(at) = choice_ui(ui, theme, &options, at) {
            acts.push(Command::Black(usual[at].clone()).into());
        }
        let field = Field {
            name: "Black lead elsewhere",
            hint: "other point",
            bare: true,
            width: ui.available_width().max(60.0),
            ..Field::default()
        };
        let other = (at == usize::MAX).then_some(black);
        lead_ui(ui, theme, page, other, &field, Command::Black, acts);
    });
}

/// A point that is shown, or typed.
fn lead_ui(
    ui: &mut Ui,
    theme: &Theme,
    page: &Page<'_>,
    now: Option<&Point>,
    field: &Field<'_>,
    command: impl Fn(Point) -> Command,
    acts: &mut Vec<Act>,
) {
    let circuit = &page.go.bench.job.circuit;
    let now = now.map_or_else(String::new, Point::shown);
    let key = format!(
        "{} {} {}",
        field.name,
        page.go.number,
        page.go.session.steps().len()
    );
    let read = |text: &str| {
        points::find(circuit, text).ok_or_else(|| "no such point on this sketch".to_owned())
    };
    let size = egui::vec2(field.width, theme.size.target);
    let layout = egui::Layout::top_down(egui::Align::Min);
    let typed = ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_width(field.width);
        kept_ui(ui, theme, &key, &now, field, read)
    });
    if let Some(point) = typed.inner {
        acts.push(command(point).into());
    }
}

/// The hint, once it was asked for.
pub fn hint_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let Some(hint) = page.go.hint() else {
        return;
    };
    Frame::new()
        .fill(c.attention_wash)
        .stroke(Stroke::new(STRONG, c.attention))
        .corner_radius(CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin::symmetric(theme.size.card as i8, 10))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            label_ui(ui, "Hint", theme.heading(), c.attention_text);
            text_ui(ui, &hint.words(), theme.strong(), c.ink);
            for caution in hint.cautions() {
                text_ui(ui, caution, theme.label(), c.attention_text);
            }
            ui.add_enabled_ui(page.is_free(), |ui| match hint {
                Hint::Test { test, .. } => {
                    if button_ui(ui, theme, Tone::Plain, "Do this test", None).clicked() {
                        acts.push(Command::Follow(test.clone()).into());
                    }
                }
                Hint::Open { opening, .. } => {
                    if button_ui(ui, theme, Tone::Plain, "Take this place", None).clicked() {
                        let metres = opening.metres.map_or_else(String::new, |(from, to)| {
                            format!("{:.2}", f64::midpoint(from, to))
                        });
                        let place = opening.site.pin.map_or_else(
                            || opening.site.part.clone(),
                            |pin| format!("{}.{pin}", opening.site.part),
                        );
                        acts.push(Command::Place(place, metres).into());
                    }
                }
                Hint::Stop | Hint::Nothing => {}
            });
        });
}
