//! What past jobs on a vehicle have taught, with how many they are, and taking it over into the job on the bench.

use egui::Ui;

use crate::{
    app::{Model, Note},
    circuit::{Circuit, Point, Terminal},
    explain::names,
    notebook::shelf::{LearntMinutes, LearntVolts},
    quantity::{
        Unit,
        format::{as_read, minutes},
        units::{as_minutes, as_volts},
    },
    ui::{
        act::Act,
        kit::{Tone, button_ui, card_ui, label_ui, named_link_ui, text_ui},
        theme::Theme,
    },
};

/// Lines of each kind that are shown before the rest is asked for.
const LINES: usize = 8;

/// The card; nothing while no job has taught anything.
pub fn taught_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    let Some(lesson) = &model.notebook.learnt else {
        return;
    };
    let learnt = &lesson.learnt;
    if learnt.minutes.is_empty() && learnt.volts.is_empty() {
        return;
    }
    let c = &theme.colour;
    // Minutes and volts are taken over only where the bench has the vehicle that they were learnt on.
    let circuit = model.notebook.is_lesson_for(&model.job.vehicle);
    let circuit = circuit.then_some(&model.job.circuit);
    let title = format!("Learnt on {}", lesson.vehicle);
    card_ui(ui, theme, &title, &from(learnt.jobs), |ui| {
        // Lines of text with a small action, no taller than the text unless gloves need it.
        ui.spacing_mut().item_spacing.y = 4.0;
        if theme.size.target < 40.0 {
            ui.spacing_mut().interact_size.y = 20.0;
        }
        if circuit.is_none() {
            let words = "Another vehicle is on the bench, so this is only shown.";
            text_ui(ui, words, theme.label(), c.muted);
        }
        if !learnt.minutes.is_empty() {
            label_ui(ui, "Minutes to reach", theme.label(), c.muted);
            let news: Vec<(String, f64)> = learnt
                .minutes
                .iter()
                .filter(|known| circuit.is_some_and(|circuit| differs(circuit, known)))
                .map(|known| (known.connector.clone(), known.minutes))
                .collect();
            more_ui(ui, theme, "minutes", &learnt.minutes, |ui, known| {
                minutes_ui(ui, theme, circuit, known, acts);
            });
            if news.len() > 1
                && button_ui(ui, theme, Tone::Plain, "Take over all minutes", None).clicked()
            {
                acts.push(Note::Access(news).into());
            }
        }
        if !learnt.volts.is_empty() {
            label_ui(ui, "Known good, all plugged", theme.label(), c.muted);
            more_ui(ui, theme, "volts", &learnt.volts, |ui, known| {
                volts_ui(ui, theme, circuit, known, acts);
            });
        }
    });
}

/// `from 3 jobs`.
pub fn from(jobs: usize) -> String {
    let word = if jobs == 1 { "job" } else { "jobs" };
    format!("from {jobs} {word}")
}

/// The first lines, and the rest once it was asked for.
fn more_ui<T>(
    ui: &mut Ui,
    theme: &Theme,
    what: &str,
    items: &[T],
    mut line_ui: impl FnMut(&mut Ui, &T),
) {
    let id = ui.scope_id().with(("all", what));
    let all: bool = ui.data(|data| data.get_temp(id).unwrap_or(false));
    let shown = if all {
        items.len()
    } else {
        items.len().min(LINES)
    };
    for item in &items[..shown] {
        line_ui(ui, item);
    }
    if items.len() > LINES {
        let text = if all {
            format!("Only {LINES} {what}")
        } else {
            format!("All {} {what}", items.len())
        };
        if named_link_ui(ui, theme, &text, &text).clicked() {
            ui.data_mut(|data| data.insert_temp(id, !all));
        }
    }
}

/// Whether the sketch has the connector with other minutes.
pub fn differs(circuit: &Circuit, known: &LearntMinutes) -> bool {
    let mut connectors = circuit.connectors.iter();
    let found = connectors.find(|connector| connector.id == known.connector);
    found.is_some_and(|connector| (as_minutes(connector.access) - known.minutes).abs() > 0.05)
}

fn minutes_ui(
    ui: &mut Ui,
    theme: &Theme,
    circuit: Option<&Circuit>,
    known: &LearntMinutes,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let id = &known.connector;
    ui.horizontal_wrapped(|ui| {
        let now = circuit.and_then(|circuit| {
            let mut connectors = circuit.connectors.iter();
            let connector = connectors.find(|connector| connector.id == *id)?;
            Some(format!(", noted {}", minutes(as_minutes(connector.access))))
        });
        let text = format!(
            "{id} {} ({}){}",
            minutes(known.minutes),
            from(known.jobs),
            now.unwrap_or_default()
        );
        label_ui(ui, &text, theme.body(), c.ink);
        if circuit.is_some_and(|circuit| differs(circuit, known)) {
            let name = format!("Take over the minutes of {id}");
            if named_link_ui(ui, theme, "Take over", &name).clicked() {
                acts.push(Note::Access(vec![(id.clone(), known.minutes)]).into());
            }
        }
    });
}

fn volts_ui(
    ui: &mut Ui,
    theme: &Theme,
    circuit: Option<&Circuit>,
    known: &LearntVolts,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let (low, middle, high) = known.volts;
    let range = if high > low {
        format!(
            ", {} to {}",
            as_read(low, Unit::Volts),
            as_read(high, Unit::Volts)
        )
    } else {
        String::new()
    };
    let point: Option<Point> = known.point.parse().ok();
    let label = (point.as_ref()).map_or_else(|| known.point.clone(), names::point);
    ui.horizontal_wrapped(|ui| {
        let volts = as_read(middle, Unit::Volts);
        let text = format!("{label} {volts}{range} ({})", from(known.jobs));
        label_ui(ui, &text, theme.body(), c.ink);
        let supply = circuit.zip(point).and_then(|(circuit, point)| {
            let at_feed = matches!(point.terminal, Terminal::Feed(_));
            let mut supplies = circuit.supplies.iter();
            supplies.find(|supply| at_feed && supply.id == point.part)
        });
        if let Some(supply) = supply
            && (as_volts(supply.nominal) - middle).abs() > 0.005
        {
            let name = format!("Take over the volts of {}", supply.id);
            let link = named_link_ui(ui, theme, "Take over", &name);
            if link
                .on_hover_text("As what the module gives when nothing is wrong")
                .clicked()
            {
                acts.push(Note::Nominal(supply.id.clone(), middle).into());
            }
        }
    });
}
