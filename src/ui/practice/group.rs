//! The group at a glance: everybody's score of late, skill by skill.

use egui::{Color32, Sense, Ui, WidgetInfo, accesskit::Role, pos2, vec2};

use crate::{
    app::practice::{Practice, name_of},
    practice::Drill,
    ui::{
        kit::{card_ui, fitted, text_ui},
        theme::Theme,
    },
};

/// Share of the width that names have; the skills share the rest.
const NAMES: f32 = 0.34;

/// The card; nothing where there is nobody to compare with.
pub fn group_skills_ui(ui: &mut Ui, theme: &Theme, state: &Practice) {
    let c = &theme.colour;
    let rows: Vec<(String, Vec<Option<f64>>)> = (state.trainees.iter())
        .filter_map(|trainee| {
            let record = trainee.record.as_ref().ok()?;
            let skills = record.skills();
            let of = |drill| skills.iter().find(|skill| skill.drill == drill);
            let scores = Drill::ALL.map(|drill| of(drill).map(|skill| skill.score));
            Some((name_of(record, &trainee.path).into_owned(), scores.into()))
        })
        .collect();
    if rows.len() < 2 {
        return;
    }
    let beside = "scores of late; empty where it was never tried";
    card_ui(ui, theme, "The group by skill", beside, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let numbers: Vec<String> = (1..=Drill::ALL.len()).map(|n| n.to_string()).collect();
        row_ui(ui, theme, "", &numbers, c.muted, "Skills by number");
        for (name, scores) in &rows {
            let cells: Vec<String> = (scores.iter())
                .map(|score| score.map_or(String::new(), |score| format!("{score:.0}")))
                .collect();
            let tried: Vec<String> = (Drill::ALL.iter().zip(&cells))
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(drill, cell)| format!("{} {cell}", drill.name()))
                .collect();
            let spoken = format!("{name} by skill: {}", tried.join(", "));
            row_ui(ui, theme, name, &cells, c.ink, &spoken);
        }
        let legend: Vec<String> = (1..)
            .zip(Drill::ALL)
            .map(|(number, drill): (usize, Drill)| format!("{number} {}", drill.name()))
            .collect();
        text_ui(ui, &legend.join(" · "), theme.label(), c.muted);
    });
}

fn row_ui(ui: &mut Ui, theme: &Theme, name: &str, cells: &[String], ink: Color32, spoken: &str) {
    let size = vec2(ui.available_width(), theme.size.row.min(30.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, spoken));
    let names = NAMES * rect.width();
    let column = (rect.width() - names) / cells.len().max(1) as f32;
    let place = |left: f32, width: f32, text: &str| {
        let galley = fitted(ui, text, theme.body(), ink, width - 8.0);
        let at = pos2(left, rect.center().y - galley.size().y / 2.0);
        ui.painter().galley(at, galley, ink);
    };
    place(rect.left(), names, name);
    for (number, cell) in cells.iter().enumerate() {
        place(rect.left() + names + number as f32 * column, column, cell);
    }
}
