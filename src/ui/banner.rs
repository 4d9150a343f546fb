//! The banner of every page: whose vehicle, which job, what is unplugged, the pages; and the row of tools below it.

use egui::{Align, Frame, Layout, Margin, Panel, Stroke, Ui};

use super::{
    act::Act,
    bench::Looks,
    commands::Do,
    kit::{Tone, button_ui, label_ui, line_ui, pill_ui},
    theme::{RADIUS, STRONG, Theme},
};
use crate::app::{
    Bench, Command, Model, Screen,
    model::{PAGES, Page, SCALE_RANGE, Theme as Light},
    practice::{Practice, Stage},
    words,
};

/// Width under which the banner holds the pages alone.
const NARROW: f32 = 560.0;
/// Width that is kept for whose vehicle it is beside what is unplugged, and the least that this has for its words.
const BESIDE_PILL: f32 = 120.0;
const LEAST_PILL: f32 = 90.0;
/// Points that a bar under the tools takes.
const BAR: f32 = 14.0;
/// Width of the buttons for looks.
const LOOKS: f32 = 300.0;
/// Percent by which one press changes the size of everything.
const SCALE_STEP: u16 = 10;

/// The banner.
pub fn banner_ui(
    ui: &mut Ui,
    theme: &Theme,
    (model, practice): (&Model, &Practice),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let practising = model.page == Page::Practice;
    let narrow = is_narrow(ui);
    Panel::top("banner")
        .exact_size(theme.size.banner)
        .show_separator_line(false)
        .frame(
            Frame::new()
                .fill(if practising { c.practice } else { c.banner })
                .inner_margin(Margin::symmetric(if narrow { 6 } else { 20 }, 0)),
        )
        .show(ui, |ui| {
            if narrow {
                pages_ui(ui, theme, model, acts);
                return;
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                for page in PAGES.into_iter().rev() {
                    page_ui(ui, theme, model, page, acts);
                }
                ui.add_space(theme.size.gap);
                loose_ui(ui, theme, model, acts);
                ui.add_space(theme.size.gap);
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    if practising {
                        practice_ui(ui, theme, practice);
                    } else {
                        job_ui(ui, theme, model);
                    }
                });
            });
        });
}

/// Whether the banner has room for the pages alone; what is unplugged then begins the row of tools.
fn is_narrow(ui: &Ui) -> bool {
    ui.available_width() < NARROW
}

/// The pages side by side, to be scrolled where even they have no room.
fn pages_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    egui::ScrollArea::horizontal().show(ui, |ui| {
        ui.horizontal_centered(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            ui.spacing_mut().button_padding.x = 5.0;
            for page in PAGES {
                page_ui(ui, theme, model, page, acts);
            }
        });
    });
}

/// What is unplugged: on the vehicle in the shop, also during practice.
fn loose_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if model.page == Page::Practice {
        elsewhere_ui(ui, theme, model, acts);
    } else {
        unplugged_ui(ui, theme, model, acts);
    }
}

/// Whose vehicle, and which job.
fn job_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let c = &theme.colour;
    let vehicle = match model.job.vehicle.trim() {
        "" => "Vehicle not named",
        vehicle => vehicle,
    };
    if ui.available_width() > 420.0 {
        let vehicle = super::kit::shortened(vehicle, 40);
        label_ui(ui, &vehicle, theme.title(), c.banner_ink);
        line_ui(ui, &model.job.title, theme.body(), c.banner_muted);
    } else {
        line_ui(ui, vehicle, theme.heading(), c.banner_ink);
    }
}

/// That it is practice, and on which vehicle: nobody may take it for the one in the shop.
fn practice_ui(ui: &mut Ui, theme: &Theme, practice: &Practice) {
    let c = &theme.colour;
    label_ui(ui, "Practice", theme.title(), c.banner_ink);
    let vehicle = match (practice.stage, &practice.go, &practice.back) {
        (Stage::Vehicle, Some(go), _) => Some(&go.session),
        (Stage::Back, _, Some(back)) => Some(&back.session),
        _ => None,
    };
    let text = vehicle.map_or_else(
        || "no vehicle in the shop is touched".to_owned(),
        |session| format!("simulated vehicle: {}", session.exercise().title),
    );
    line_ui(ui, &text, theme.body(), c.banner_muted);
}

/// During practice: what is unplugged on the vehicle in the shop, if anything is. What is unplugged on the simulated one
/// stands beside its clock.
fn elsewhere_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let now = &model.job.now;
    let loose = now.unplugged.len() + now.unknown.len();
    if loose == 0 {
        return;
    }
    let text = format!("Bench: {loose} not plugged");
    let name = format!("Unplugged on the bench: {}", words::state(now));
    let pill = pill_ui(ui, theme, &text, &name, true);
    if pill.on_hover_text("Press to go to the bench").clicked() {
        acts.push(Screen::Show(Page::Bench).into());
    }
}

fn page_ui(ui: &mut Ui, theme: &Theme, model: &Model, page: Page, acts: &mut Vec<Act>) {
    let name = format!("Page {}", page.name());
    let response = button_ui(ui, theme, Tone::Banner, page.name(), Some(&name));
    if model.page == page {
        let rect = response.rect;
        let y = rect.bottom() + 2.0;
        ui.painter().hline(
            rect.x_range().shrink(12.0),
            y,
            Stroke::new(STRONG + 1.0, theme.colour.banner_attention),
        );
    }
    if response.clicked() {
        acts.push(Screen::Show(page).into());
    }
}

/// What is unplugged right now; pressing it asks whether everything is mated again.
fn unplugged_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let now = &model.job.now;
    let loose = now.unplugged.len() + now.unknown.len();
    let text = match loose {
        0 => "All plugged".to_owned(),
        1..=3 => words::state(&crate::reading::State {
            unplugged: now.unplugged.clone(),
            unknown: now.unknown.clone(),
            ..crate::reading::State::default()
        }),
        more => format!("{more} connectors not plugged"),
    };
    let name = format!("Unplugged now: {text}");
    // Words that have no room give way to their number.
    let room = ui.available_width().min(ui.clip_rect().width());
    let room = (room - BESIDE_PILL).max(LEAST_PILL);
    let all = ui
        .painter()
        .layout_no_wrap(text.clone(), theme.strong(), theme.colour.ink);
    let text = if all.size().x > room {
        format!("{loose} not plugged")
    } else {
        text
    };
    let pill = pill_ui(ui, theme, &text, &name, loose > 0);
    if loose > 0
        && pill
            .on_hover_text("Press when everything is plugged again")
            .clicked()
    {
        acts.push(Bench::PlugAll.into());
    }
}

/// The row of tools: files, steps back and forth, commands, looks.
pub fn tools_ui(ui: &mut Ui, theme: &Theme, model: &Model, looks: &Looks, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let narrow = is_narrow(ui);
    let frame = Frame::new()
        .fill(c.desk)
        .inner_margin(Margin::symmetric(theme.size.card as i8, 2));
    Panel::top("tools")
        .exact_size(theme.size.target + 6.0 + if narrow { BAR } else { 0.0 })
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| {
            egui::ScrollArea::horizontal().show(ui, |ui| {
                ui.horizontal(|ui| {
                    ui.spacing_mut().item_spacing.x = 2.0;
                    if narrow {
                        // On the banner's own ground, whose colours it has.
                        let ground = Frame::new().fill(c.banner).corner_radius(RADIUS);
                        ground.show(ui, |ui| loose_ui(ui, theme, model, acts));
                    }
                    let save = if model.is_dirty() { "Save •" } else { "Save" };
                    for (command, text) in [
                        (Do::NewFeed, "New feed"),
                        (Do::Open, "Open"),
                        (Do::Save, save),
                        (Do::Commands, "Commands"),
                        (Do::Help, "Help"),
                    ] {
                        if tool(ui, theme, text, command.name(), &command.tooltip()) {
                            acts.extend(command.act(model, looks));
                        }
                    }
                    // Steps back are steps of the job, which practice never touches.
                    if model.page != Page::Practice {
                        steps_ui(ui, theme, model, acts);
                    }
                    // At the far end, where the names of steps do not push it about.
                    ui.add_space((ui.available_width() - LOOKS).max(0.0));
                    looks_ui(ui, theme, model, acts);
                });
            });
        });
}

fn tool(ui: &mut Ui, theme: &Theme, text: &str, name: &str, hint: &str) -> bool {
    button_ui(ui, theme, Tone::Quiet, text, Some(name))
        .on_hover_text(hint)
        .clicked()
}

fn steps_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let undo = model.history.undo_name();
    let redo = model.history.redo_name();
    for (word, step, command, keys) in [
        ("Undo", undo, Command::Undo, "Ctrl+Z"),
        ("Redo", redo, Command::Redo, "Ctrl+Shift+Z or Ctrl+Y"),
    ] {
        ui.add_enabled_ui(step.is_some(), |ui| {
            let text = step.map_or_else(
                || word.to_owned(),
                |step| format!("{word}: {}", super::kit::shortened(step, 30)),
            );
            if tool(ui, theme, &text, word, keys) {
                acts.push(Act::Do(command));
            }
        });
    }
}

fn looks_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let look = &model.look;
    let (text, other) = match look.theme {
        Light::Day => ("Dim", Light::Dim),
        Light::Dim => ("Day", Light::Day),
    };
    if tool(
        ui,
        theme,
        text,
        &format!("{text} theme"),
        "Colours for daylight or a dark bay",
    ) {
        acts.push(Screen::SetTheme(other).into());
    }
    let glove = if look.glove { "Bare hands" } else { "Gloves" };
    if tool(
        ui,
        theme,
        glove,
        glove,
        "Large targets for gloved hands, or the usual ones",
    ) {
        acts.push(Screen::SetGlove(!look.glove).into());
    }
    for (text, name, percent) in [
        ("A−", "Smaller", look.scale.saturating_sub(SCALE_STEP)),
        ("A+", "Larger", look.scale.saturating_add(SCALE_STEP)),
    ] {
        let inside = (SCALE_RANGE.0..=SCALE_RANGE.1).contains(&percent);
        ui.add_enabled_ui(inside, |ui| {
            if tool(ui, theme, text, name, "Size of everything") {
                acts.push(Screen::SetScale(percent).into());
            }
        });
    }
    let scale = format!("{} %", look.scale);
    label_ui(ui, &scale, theme.label(), theme.colour.muted);
}
