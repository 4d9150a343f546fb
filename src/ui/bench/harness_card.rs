//! The card of the drawing, with the voltage plot under it on the same metres.

use egui::{Align, Frame, Layout, Margin, Stroke, Ui};

use super::{
    harness::harness_ui,
    likely::likely_ui,
    map::{WIDTH, is_wanted, map_ui},
    names::end_room,
    page::Under,
    sheet::Sheet,
    view::{Chosen, View},
    voltage::{Shown, voltage_ui},
};
use crate::app::{Screen, words};
use crate::drawing::{Harness, profile::Profile};
use crate::reading::State;
use crate::ui::{
    act::Act,
    commands::Do,
    kit::{Tone, button_ui, label_ui, line_ui, shortened},
    theme::{CARD_RADIUS, LINE, Theme},
};

/// Share of the card that the plot takes.
const PLOT: f32 = 0.34;
/// The same for two plots.
const BOTH: f32 = 0.52;
/// Height that a plot needs to be read.
const LEAST_PLOT: f32 = 118.0;
/// Share of the card for the plot under lanes that do not all fit, so that most of it is theirs.
const UNDER_MANY: f32 = 0.26;
/// Margins of the card, above and below.
const MARGINS: f32 = 10.0;
/// One press of the zoom buttons.
pub const ZOOM: f32 = 1.4;

/// The volts under the drawing.
pub struct Volts<'a> {
    /// As things stand.
    pub now: &'a Profile,
    /// In another state, once that is computed.
    pub other: Option<&'a Profile>,
    /// That state, where one is wanted.
    pub compare: Option<&'a State>,
    /// States that could be.
    pub states: &'a [State],
    /// The volts, or the probability in their place.
    pub under: Under,
}

/// Points of height at which the lanes of a harness stand easily apart over a plot that can be read.
pub fn easy_height(theme: &Theme, harness: &Harness) -> f32 {
    theme.size.target + MARGINS + View::easy_height(harness) + LEAST_PLOT
}

/// Points of height at which all lanes of a harness are in sight over such a plot, however close.
pub fn least_height(theme: &Theme, harness: &Harness) -> f32 {
    theme.size.target + MARGINS + View::least_height(harness) + LEAST_PLOT + 4.0
}

/// The card.
pub fn harness_card_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    volts: &Volts<'_>,
    chosen: &Chosen,
    acts: &mut Vec<Act>,
) -> View {
    let c = &theme.colour;
    let frame = Frame::new()
        .fill(c.sheet)
        .stroke(Stroke::new(LINE, c.edge))
        .corner_radius(egui::CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin {
            left: 2,
            right: 2,
            top: 4,
            bottom: 6,
        });
    let card = frame.show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        ui.spacing_mut().item_spacing.y = 0.0;
        let mut zoom = None;
        let mut map = None;
        let row = egui::vec2(ui.available_width(), theme.size.target);
        let room = ui.available_size() - egui::vec2(0.0, row.y);
        let (size, plot) = heights(sheet, volts, room);
        let sheet_rect = egui::Rect::from_min_size(ui.cursor().min + egui::vec2(0.0, row.y), size);
        let ahead = View::new(sheet_rect, sheet.harness, chosen, end_room(ui, theme, sheet));
        ui.allocate_ui_with_layout(row, Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 0.0;
            for (text, name, factor) in [("+", "Zoom in", ZOOM), ("−", "Zoom out", 1.0 / ZOOM)] {
                if button_ui(ui, theme, Tone::Quiet, text, Some(name)).clicked() {
                    zoom = Some(factor);
                }
            }
            let fit = button_ui(ui, theme, Tone::Quiet, "Fit", Some("Fit the drawing"));
            if fit.clicked() {
                acts.push(Act::Look(Chosen::default()));
            }
            if is_wanted(sheet, &ahead, chosen) {
                let size = egui::vec2(WIDTH, row.y - 2.0);
                map = Some(ui.allocate_exact_size(size, egui::Sense::empty()).0);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add_space(theme.size.card);
                label_ui(ui, "Harness, to scale", theme.heading(), c.ink);
                ui.add_space(6.0);
                if sheet.caption.is_none() {
                    add_ui(ui, theme, sheet, acts);
                }
                let hint = match (sheet.wiring, sheet.caption) {
                    (_, Some(caption)) => caption.to_owned(),
                    _ if sheet.moving => {
                        "click the point from which what is chosen is to hang; Escape leaves it".to_owned()
                    }
                    (Some(from), None) => {
                        format!("click the point to which the wire from {from} leads; Escape gives it up")
                    }
                    (None, None) => "click a connector to part it, a point to read it".to_owned(),
                };
                let ink = if sheet.wiring.is_some() || sheet.moving { c.attention_text } else { c.muted };
                line_ui(ui, &hint, theme.label(), ink);
            });
        });
        let view = harness_ui(ui, theme, sheet, chosen, size, acts);
        if let Some(rect) = map {
            map_ui(ui, theme, sheet, &view, chosen, rect, acts);
        }
        let height = plot.min(room.y - size.y).max(60.0);
        let corner = ui.cursor().min;
        match volts.under {
            Under::Volts => volts_ui(ui, theme, sheet, volts, &view, height),
            Under::Likely => likely_ui(ui, theme, sheet, &view, height),
        }
        under_ui(ui, theme, sheet, volts, (corner, room.x), acts);
        if let Some(factor) = zoom {
            let middle = view.rect.center();
            acts.push(Act::Look(view.zoomed(factor, middle, sheet.harness)));
        }
        view
    });
    card.inner
}

/// The size of the drawing in the room under the title, and the height of the plots under it.
fn heights(sheet: &Sheet<'_>, volts: &Volts<'_>, room: egui::Vec2) -> (egui::Vec2, f32) {
    let both = volts.compare.is_some() && volts.under == Under::Volts;
    let plots = if both { 2.0 } else { 1.0 };
    let share = if both { BOTH } else { PLOT };
    let spare = room.y - View::easy_height(sheet.harness);
    let least = (LEAST_PLOT * plots).max(room.y * UNDER_MANY);
    let plot = (room.y * share)
        .min(spare.max(least))
        .clamp(110.0, 250.0 + 1000.0 * (share - PLOT));
    let size = egui::vec2(room.x, (room.y - plot).max(120.0));
    (size, plot)
}

/// One plot, or two one above the other on the same metres.
fn volts_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    volts: &Volts<'_>,
    view: &View,
    height: f32,
) {
    let title = match volts.compare {
        Some(_) => format!("Now: {}", words::state(sheet.now)),
        None => "Feed voltage along the same metres".to_owned(),
    };
    let now = Shown {
        profile: volts.now,
        state: sheet.now,
        title: &title,
    };
    let Some(compare) = volts.compare else {
        return voltage_ui(ui, theme, sheet, now, view, height);
    };
    voltage_ui(ui, theme, sheet, now, view, height / 2.0);
    let title = format!("Beside it: {}", words::state(compare));
    let empty = Profile::default();
    let other = Shown {
        profile: volts.other.unwrap_or(&empty),
        state: compare,
        title: &title,
    };
    voltage_ui(ui, theme, sheet, other, view, height / 2.0);
}

/// The choice of what stands under the drawing, at the right end of the plot's title.
fn under_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    volts: &Volts<'_>,
    (corner, width): (egui::Pos2, f32),
    acts: &mut Vec<Act>,
) {
    if sheet.findings.is_none() || sheet.caption.is_some() {
        return;
    }
    let size = egui::vec2(230.0_f32.min(width * 0.4), 26.0);
    let at = egui::pos2(corner.x + width - size.x - 8.0, corner.y + 3.0);
    let builder = egui::UiBuilder::new().max_rect(egui::Rect::from_min_size(at, size));
    ui.scope_builder(builder, |ui| {
        ui.spacing_mut().interact_size.y = size.y;
        let word = match (volts.under, volts.compare) {
            (Under::Likely, _) => "Probability".to_owned(),
            (Under::Volts, None) => "Volts".to_owned(),
            (Under::Volts, Some(state)) => format!("Volts, beside {}", words::state(state)),
        };
        egui::ComboBox::from_id_salt("compare")
            .selected_text(egui::RichText::new(shortened(&word, 30)).font(theme.label()))
            .width(size.x)
            .show_ui(ui, |ui| {
                let under = volts.under;
                let plain = under == Under::Volts && volts.compare.is_none();
                if ui.selectable_label(plain, "Volts").clicked() {
                    acts.push(Screen::Compare(None).into());
                    acts.push(Act::Under(Under::Volts));
                }
                let likely = under == Under::Likely;
                if ui.selectable_label(likely, "Probability").clicked() {
                    acts.push(Act::Under(Under::Likely));
                }
                for state in volts.states {
                    let here = under == Under::Volts && volts.compare == Some(state);
                    let text = format!("Volts, beside {}", words::state(state));
                    if ui.selectable_label(here, text).clicked() {
                        acts.push(Screen::Compare(Some(state.clone())).into());
                        acts.push(Act::Under(Under::Volts));
                    }
                }
            })
            .response
            .accessible_name("What stands under the drawing");
    });
}

/// What can be drawn on from the chosen point or part, and what stands for itself.
fn add_ui(ui: &mut Ui, theme: &Theme, sheet: &Sheet<'_>, acts: &mut Vec<Act>) {
    let add = button_ui(ui, theme, Tone::Quiet, "Add", Some("Add a part"));
    egui::Popup::menu(&add).show(|ui| {
        ui.set_min_width(230.0);
        for what in Do::ADDITIONS {
            let act = what.act_on(sheet.circuit, sheet.selection);
            ui.add_enabled_ui(act.is_some(), |ui| {
                let item = button_ui(ui, theme, Tone::Quiet, what.name(), None);
                if let (true, Some(act)) = (item.on_hover_text(what.hint()).clicked(), act) {
                    acts.push(act);
                    ui.close();
                }
            });
        }
    });
}
