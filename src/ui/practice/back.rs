//! The look back: step by step on the drawing, what each was worth, two plots, and the advice beside it.

use egui::{ScrollArea, Sense, Ui, WidgetInfo, accesskit::Role, pos2, vec2};

use super::{
    drawn::drawn_ui,
    plots::{bits_ui, minutes_ui},
    vehicle::piece,
};
use crate::{
    app::practice::{Back, Command, Kept, step_words, stood, truth},
    drawing::Harness,
    practice::{Flaw, Move, debrief::Looked, score::reckoning, trainee::Way},
    quantity::format::clock,
    ui::{
        act::Act,
        bench::view::{Chosen, View},
        kit::{Tone, button_ui, card_ui, fitted, focus_ring, label_ui, notice_ui, text_ui},
        theme::{LINE, Theme},
    },
};

/// Least height of the drawing, and the height of a plot.
const SHEET: f32 = 380.0;
const PLOT: f32 = 130.0;

/// The page. Answers how the drawing lies on the screen.
pub fn back_ui(
    ui: &mut Ui,
    theme: &Theme,
    back: &Back,
    harness: &Harness,
    chosen: &Chosen,
    acts: &mut Vec<Act>,
) -> View {
    let room = ui.available_rect_before_wrap();
    let gap = theme.size.gap + 2.0;
    let narrow = room.width() < super::NARROW;
    let column = theme.size.column.min(room.width() * 0.42);
    let view = |ui: &mut Ui, acts: &mut Vec<Act>| {
        let height = SHEET.max(room.height() * 0.52);
        let size = vec2(ui.available_width(), height);
        let (rect, _) = ui.allocate_exact_size(size, Sense::empty());
        piece(ui, rect, "replay", |ui| {
            let caption = caption(back);
            let how = (chosen, caption.as_str(), false);
            drawn_ui(ui, theme, &back.bench, harness, how, acts)
        })
    };
    if narrow {
        let all = ScrollArea::vertical().id_salt(("look back", back.number));
        let all = all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            verdict_ui(ui, theme, back, acts);
            let view = view(ui, acts);
            step_ui(ui, theme, back, acts);
            steps_ui(ui, theme, back, acts);
            bits_ui(ui, theme, &back.debrief, back.at, PLOT);
            minutes_ui(ui, theme, &back.debrief, back.at, PLOT);
            beside_ui(ui, theme, back);
            view
        });
        return all.inner;
    }
    let split = room.right() - column;
    let left = egui::Rect::from_min_max(room.min, pos2(split - gap, room.bottom()));
    let right = egui::Rect::from_min_max(pos2(split, room.top()), room.max);
    let view = piece(ui, left, "looked back on", |ui| {
        let all = ScrollArea::vertical().id_salt(("replay", back.number));
        let all = all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            let view = view(ui, acts);
            steps_ui(ui, theme, back, acts);
            let width = (ui.available_width() - gap) / 2.0;
            ui.horizontal_top(|ui| {
                ui.spacing_mut().item_spacing.x = gap;
                ui.vertical(|ui| {
                    ui.set_width(width);
                    bits_ui(ui, theme, &back.debrief, back.at, PLOT);
                });
                ui.vertical(|ui| {
                    ui.set_width(width);
                    minutes_ui(ui, theme, &back.debrief, back.at, PLOT);
                });
            });
            view
        });
        all.inner
    });
    piece(ui, right, "verdict", |ui| {
        let all = ScrollArea::vertical().id_salt(("verdict", back.number));
        all.auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = gap;
            ui.set_max_width(ui.available_width());
            verdict_ui(ui, theme, back, acts);
            step_ui(ui, theme, back, acts);
            beside_ui(ui, theme, back);
        });
    });
    view
}

fn caption(back: &Back) -> String {
    let count = back.debrief.looked.len();
    match back.debrief.looked.get(back.at) {
        Some(looked) => format!(
            "after step {} of {count}, with what the engine says: {}",
            back.at + 1,
            stood(&looked.now)
        ),
        None => "nothing was read".to_owned(),
    }
}

/// How it went, what it was, and where the line is kept.
fn verdict_ui(ui: &mut Ui, theme: &Theme, back: &Back, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let done = &back.done;
    let mut title = done.end().to_owned();
    title[..1].make_ascii_uppercase();
    card_ui(ui, theme, &title, "", |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 26.0;
            let ink = if done.found {
                c.healthy_text
            } else {
                c.suspect_text
            };
            label_ui(ui, &format!("{} of 100", done.score), theme.figure(), ink);
            label_ui(ui, &clock(done.minutes), theme.body(), c.ink);
        });
        if back.session.is_over() {
            text_ui(ui, &reckoning(&back.debrief), theme.body(), c.ink);
        }
        for line in truth(&back.session) {
            text_ui(
                ui,
                &format!("It was: {line}."),
                theme.strong(),
                c.suspect_text,
            );
        }
        text_ui(ui, &done.certificate(&back.trainee), theme.label(), c.ink);
        match &back.kept {
            Kept::In(path) => {
                let text = format!("Kept in {}", path.display());
                text_ui(ui, &text, theme.label(), c.muted);
            }
            Kept::NoName => {
                let text = "Nothing is kept, since no trainee was named before the start.";
                text_ui(ui, text, theme.label(), c.attention_text);
            }
            Kept::NoFolder => {
                let text = "Nothing is kept: no folder for records is chosen under Progress.";
                text_ui(ui, text, theme.label(), c.attention_text);
            }
            Kept::NotOver => {
                let text = "Nothing is kept, since the vehicle was not handed over.";
                text_ui(ui, text, theme.label(), c.attention_text);
            }
            Kept::Failed(trouble) => notice_ui(ui, theme, &trouble.what, &trouble.remedy),
        }
        ui.horizontal_wrapped(|ui| {
            if button_ui(ui, theme, Tone::Primary, "The same vehicle again", None).clicked() {
                acts.push(Command::Again.into());
            }
        });
    });
}

/// The step in sight: what was known before and after, and what the advice would have been.
fn step_ui(ui: &mut Ui, theme: &Theme, back: &Back, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let count = back.debrief.looked.len();
    let Some(looked) = back.debrief.looked.get(back.at) else {
        return;
    };
    let title = format!("Step {} of {count}", back.at + 1);
    card_ui(ui, theme, &title, "", |ui| {
        let (what, came) = words(back, looked);
        text_ui(ui, &format!("{what}: {came}"), theme.strong(), c.ink);
        let places = |left: usize| {
            if left == 1 {
                "1 place".to_owned()
            } else {
                format!("{left} places")
            }
        };
        let facts = [
            format!(
                "Before: {} left, {:.1} bits",
                places(looked.before.left),
                looked.before.bits
            ),
            format!(
                "After: {} left, {:.1} bits, likeliest {}",
                places(looked.after.left),
                looked.after.bits,
                match looked.after.place.as_str() {
                    "nothing" => "that nothing is wrong",
                    place => place,
                }
            ),
            format!("It took {} with the way to it.", clock(looked.took)),
        ];
        for fact in facts {
            text_ui(ui, &fact, theme.body(), c.ink);
        }
        if let Some(flaw) = looked.flaw {
            let text = format!("{}: {}.", flaw_name(flaw), flaw.reason());
            notice_ui(ui, theme, &text, "");
        }
        text_ui(
            ui,
            &format!("By the advice then: {}", looked.best.words()),
            theme.body(),
            c.muted,
        );
        ui.horizontal(|ui| {
            ui.add_enabled_ui(back.at > 0, |ui| {
                if button_ui(ui, theme, Tone::Plain, "Step before", None).clicked() {
                    acts.push(Command::Replay(back.at - 1).into());
                }
            });
            ui.add_enabled_ui(back.at + 1 < count, |ui| {
                if button_ui(ui, theme, Tone::Plain, "Step after", None).clicked() {
                    acts.push(Command::Replay(back.at + 1).into());
                }
            });
        });
    });
}

fn flaw_name(flaw: Flaw) -> &'static str {
    match flaw {
        Flaw::Irrelevant => "Irrelevant",
        Flaw::Redundant => "Redundant",
        Flaw::Premature => "Premature",
        Flaw::Dear => "Dear",
    }
}

fn words(back: &Back, looked: &Looked) -> (String, String) {
    let step = back.session.steps().get(looked.step);
    step.map_or_else(Default::default, |step| {
        let (what, came) = step_words(&back.session, step);
        match step.done {
            Move::Read { .. } => (format!("{what}, {}", stood(&step.before)), came),
            _ => (what, came),
        }
    })
}

/// Left ends of the columns, as shares of the width.
const COLUMNS: [f32; 6] = [0.0, 0.045, 0.50, 0.64, 0.77, 0.87];

/// Every step in a line; pressing one puts it in sight.
fn steps_ui(ui: &mut Ui, theme: &Theme, back: &Back, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    card_ui(
        ui,
        theme,
        "Step by step",
        "press a line to see it on the drawing",
        |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            let head = [
                "#",
                "what was done",
                "places left",
                "bits left",
                "minutes",
                "remark",
            ];
            let (rect, _) =
                ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::empty());
            cells_ui(ui, theme, rect, &head.map(str::to_owned), c.muted, false);
            for (index, looked) in back.debrief.looked.iter().enumerate() {
                let (what, came) = words(back, looked);
                let flaw = looked
                    .flaw
                    .map_or(String::new(), |flaw| flaw.name().to_owned());
                let cells = [
                    (index + 1).to_string(),
                    format!("{what}: {came}"),
                    format!("{} → {}", looked.before.left, looked.after.left),
                    format!("{:.1} → {:.1}", looked.before.bits, looked.after.bits),
                    clock(looked.took),
                    flaw,
                ];
                let size = vec2(ui.available_width(), theme.size.row);
                let (rect, response) = ui.allocate_exact_size(size, Sense::click());
                let here = index == back.at;
                response.widget_info(|| {
                    let name = format!("Step {}: {}", cells[0], cells[1..].join(", "));
                    WidgetInfo::selected(Role::Button, true, here, name)
                });
                if here || response.hovered() {
                    let ground = if here { c.selected } else { c.band };
                    ui.painter().rect_filled(rect, 2.0, ground);
                }
                cells_ui(ui, theme, rect, &cells, c.ink, true);
                focus_ring(ui, theme, &response, rect);
                if response.clicked() {
                    acts.push(Command::Replay(index).into());
                }
            }
            if back.debrief.looked.is_empty() {
                text_ui(ui, "Nothing was read or opened.", theme.body(), c.muted);
            }
        },
    );
}

fn cells_ui(
    ui: &Ui,
    theme: &Theme,
    rect: egui::Rect,
    cells: &[String; 6],
    ink: egui::Color32,
    body: bool,
) {
    for (column, text) in cells.iter().enumerate() {
        let left = rect.left() + 4.0 + COLUMNS[column] * (rect.width() - 8.0);
        let end = COLUMNS.get(column + 1).copied().unwrap_or(1.0);
        let width = (end - COLUMNS[column]) * (rect.width() - 8.0) - 8.0;
        let (font, ink) = match (column, body) {
            (5, true) => (theme.label_strong(), theme.colour.suspect_text),
            (_, true) => (theme.body(), ink),
            _ => (theme.label(), ink),
        };
        let galley = fitted(ui, text, font, ink, width);
        let at = pos2(left, rect.center().y - galley.size().y / 2.0);
        ui.painter().galley(at, galley, ink);
    }
    if body {
        let stroke = egui::Stroke::new(LINE, theme.colour.grid);
        ui.painter().hline(rect.x_range(), rect.bottom(), stroke);
    }
}

/// The same vehicle by other ways: the advice with its steps, simulated trainees, halving.
fn beside_ui(ui: &mut Ui, theme: &Theme, back: &Back) {
    let c = &theme.colour;
    let debrief = &back.debrief;
    card_ui(ui, theme, "The same vehicle", "in other ways", |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        let line = |name: &str, tests: usize, minutes: f64, found: bool| {
            let end = if found { "" } else { ", not found" };
            let readings = if tests == 1 { "reading" } else { "readings" };
            format!("{name}: {tests} {readings}, {}{end}", clock(minutes))
        };
        let own = line("You", debrief.tests, debrief.minutes, debrief.found);
        text_ui(ui, &own, theme.strong(), c.ink);
        let path = &debrief.path;
        let advice = line("The advice", path.tests, path.minutes, path.found);
        text_ui(ui, &advice, theme.strong(), c.healthy_text);
        for (number, step) in (1..).zip(&path.steps) {
            let text = format!("{number}. {}", step.line());
            text_ui(ui, &text, theme.label(), c.muted);
        }
        for (way, played) in &debrief.others {
            let name = match way {
                Way::Random => "Any connector that comes to mind",
                Way::OneAtATime => "One connector at a time",
                Way::HalfSplit => "Half split by count",
                Way::Advisor => way.name(),
            };
            let text = line(name, played.tests, played.minutes, played.found);
            text_ui(ui, &text, theme.body(), c.ink);
        }
        let text = format!(
            "Halving as many places takes {:.1} tests on average and {} at worst.",
            debrief.bound.expected, debrief.bound.worst
        );
        text_ui(ui, &text, theme.body(), c.ink);
    });
}
