//! Which meter takes the readings, and how good it is.

use egui::Ui;

use crate::{
    app::Note,
    quantity::{
        Unit, typed_number,
        units::{as_ohms, ohms},
    },
    reading::{Clamp, Meter, Range},
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, field_ui, label_ui, notice_ui, text_ui},
        theme::Theme,
    },
};

/// A meter as it is being typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MeterDraft {
    name: String,
    percent: String,
    counts: String,
    ranges: String,
    input: String,
    lead: String,
    clamp: String,
    clamp_zero: String,
}

/// Usual classes of hand-held meters: word, percent of reading, counts, counts of the display (common practice, no
/// source).
const USUAL: [(&str, f64, f64, f64); 3] = [
    ("Common, 6000 counts", 0.5, 2.0, 6000.0),
    ("Simple, 2000 counts", 1.0, 5.0, 2000.0),
    ("Fine, 50000 counts", 0.05, 2.0, 50000.0),
];

impl MeterDraft {
    /// A meter in its boxes.
    pub fn of(meter: &Meter) -> Self {
        let ranges = meter.ranges.iter().map(|r| format!("{}/{}", r.top, r.step));
        Self {
            name: meter.name.clone(),
            percent: meter.percent.to_string(),
            counts: meter.counts.to_string(),
            ranges: ranges.collect::<Vec<_>>().join("; "),
            input: format!("{}", as_ohms(meter.input)),
            lead: format!("{}", as_ohms(meter.lead)),
            clamp: meter.clamp.percent.to_string(),
            clamp_zero: meter.clamp.zero_a.to_string(),
        }
    }

    fn read(&self) -> Result<Meter, String> {
        let number = |name: &str, text: &str, (low, high): (f64, f64)| {
            let number = text.trim().replace(',', ".").parse::<f64>().ok();
            number
                .filter(|n| (low..=high).contains(n))
                .ok_or_else(|| format!("{name}: a number from {low} to {high}"))
        };
        let ohm = |name: &str, text: &str, (low, high): (f64, f64)| {
            let ohm = typed_number(text, Unit::Ohms).map_err(|error| format!("{name}: {error}"))?;
            if (low..=high).contains(&ohm) {
                Ok(ohms(ohm))
            } else {
                Err(format!("{name}: from {low} to {high} Ω"))
            }
        };
        Ok(Meter {
            name: self.name.trim().to_owned(),
            percent: number("Percent of reading", &self.percent, (0.0, 20.0))?,
            counts: number("Counts", &self.counts, (0.0, 100.0))?,
            ranges: ranges(&self.ranges)?,
            input: ohm("Input", &self.input, (1e3, 1e12))?,
            lead: ohm("Leads", &self.lead, (0.0, 100.0))?,
            clamp: Clamp {
                percent: number("Clamp, percent of reading", &self.clamp, (0.0, 50.0))?,
                zero_a: number("Clamp, drift of its zero", &self.clamp_zero, (0.0, 10.0))?,
            },
        })
    }
}

/// Reads `0.6/0.0001; 6/0.001`.
fn ranges(text: &str) -> Result<Vec<Range>, String> {
    let wrong = || "Ranges: top and step in volts, e.g. 0.6/0.0001; 6/0.001; 60/0.01".to_owned();
    let mut ranges = Vec::new();
    for piece in text.split(';').filter(|piece| !piece.trim().is_empty()) {
        let (top, step) = piece.split_once('/').ok_or_else(wrong)?;
        let number = |text: &str| {
            text.trim()
                .replace(',', ".")
                .parse::<f64>()
                .map_err(|_| wrong())
        };
        let (top, step) = (number(top)?, number(step)?);
        let sound = top.is_finite() && step > 0.0 && step < top && top <= 1e4;
        let rising = ranges.last().is_none_or(|last: &Range| last.top < top);
        if !sound || !rising {
            return Err(format!("{}, the smallest first", wrong()));
        }
        ranges.push(Range { top, step });
    }
    if ranges.is_empty() || ranges.len() > 12 {
        return Err(wrong());
    }
    Ok(ranges)
}

/// The question.
pub fn meter_ui(ui: &mut Ui, theme: &Theme, draft: &mut MeterDraft, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "The meter", theme.title(), c.ink);
    label_ui(ui, "Usual ones", theme.label(), c.muted);
    ui.horizontal_wrapped(|ui| {
        for (name, percent, counts, shown) in USUAL {
            if button_ui(ui, theme, Tone::Quiet, name, None).clicked() {
                let top = shown / 10_000.0;
                let step = if shown > 10_000.0 { 1e-4 } else { top / shown };
                let ranges = [1.0, 10.0, 100.0].map(|k| Range {
                    top: top * k,
                    step: step * k,
                });
                *draft = MeterDraft::of(&Meter {
                    name: String::new(),
                    percent,
                    counts,
                    ranges: ranges.to_vec(),
                    ..Meter::default()
                });
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        let boxes: [(&str, &str, &mut String, f32); 8] = [
            ("What it is called", "", &mut draft.name, 250.0),
            ("± percent of reading", "%", &mut draft.percent, 200.0),
            ("± counts", "", &mut draft.counts, 120.0),
            ("Input", "Ω", &mut draft.input, 160.0),
            ("Leads touching", "Ω", &mut draft.lead, 140.0),
            ("Clamp, ± percent", "%", &mut draft.clamp, 160.0),
            ("Clamp, ± zero drift", "A", &mut draft.clamp_zero, 170.0),
            ("Ranges of volts, top/step", "V", &mut draft.ranges, 440.0),
        ];
        for (name, unit, text, width) in boxes {
            let field = Field {
                name,
                unit,
                width,
                ..Field::default()
            };
            ui.allocate_ui(egui::vec2(width, theme.size.target + 20.0), |ui| {
                field_ui(ui, theme, text, &field);
            });
        }
    });
    let read = draft.read();
    if let Err(trouble) = &read {
        notice_ui(ui, theme, trouble, "");
    }
    ui.horizontal(|ui| {
        let use_it = ui.add_enabled_ui(read.is_ok(), |ui| {
            button_ui(ui, theme, Tone::Primary, "Use this meter", None).clicked()
        });
        if let (true, Ok(meter)) = (use_it.inner, read) {
            acts.push(Act::Close);
            acts.push(Note::SetMeter(meter).into());
        }
        if button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_goes_into_its_boxes_and_back() {
        let meter = Meter::default();
        assert_eq!(MeterDraft::of(&meter).read(), Ok(meter));
    }

    #[test]
    fn ranges_rise_and_steps_are_smaller_than_tops() {
        for wrong in ["", "6", "6/6", "60/0.01; 6/0.001", "a/b", "inf/1", "6/0"] {
            assert!(ranges(wrong).is_err(), "{wrong}");
        }
    }
}
