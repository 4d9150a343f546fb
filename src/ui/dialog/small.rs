//! Questions with one or two boxes: another rail, a resistor that is clipped on.

use egui::{Key, Response, Ui};

use crate::{
    app::{Bench, Model, Sketch, points, words},
    circuit::Point,
    quantity::{Unit, typed_number, units::ohms},
    reading::Attached,
    ui::{
        act::Act,
        kit::{Field, Tone, button_ui, field_ui, notice_ui, text_ui},
        theme::Theme,
    },
};

/// Ohms that can sensibly be clipped onto a feed.
const LEAST_OHM: f64 = 1.0;

fn entered(ui: &Ui, response: &Response) -> bool {
    response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}

/// Shows the trouble, or the button that goes on; answers whether to go on.
fn go_ui(
    ui: &mut Ui,
    theme: &Theme,
    word: &str,
    trouble: Option<&str>,
    entered: bool,
    acts: &mut Vec<Act>,
) -> bool {
    if let Some(trouble) = trouble {
        notice_ui(ui, theme, trouble, "");
    }
    let mut go = false;
    ui.horizontal(|ui| {
        let button = ui.add_enabled_ui(trouble.is_none(), |ui| {
            button_ui(ui, theme, Tone::Primary, word, None).clicked()
        });
        go = (button.inner || entered) && trouble.is_none();
        if go || button_ui(ui, theme, Tone::Plain, "Cancel", None).clicked() {
            acts.push(Act::Close);
        }
    });
    go
}

/// Another rail.
pub fn rail_ui(ui: &mut Ui, theme: &Theme, volts: &mut String, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    text_ui(ui, "Another rail", theme.title(), c.ink);
    let hint = "A rail of another origin that the feed could touch: battery, another reference, a bus line.";
    text_ui(ui, hint, theme.body(), c.ink);
    let field = Field {
        name: "Its volts to battery negative",
        unit: "V",
        ..Field::default()
    };
    let response = field_ui(ui, theme, volts, &field);
    let read = typed_number(volts, Unit::Volts).map_err(|error| error.to_string());
    let read = read.and_then(|v| {
        let sound = (0.0..=1000.0).contains(&v);
        sound
            .then_some(v)
            .ok_or_else(|| "A rail has 0 to 1000 V".to_owned())
    });
    let trouble = read.as_ref().err().map(String::as_str);
    let entered = entered(ui, &response);
    if go_ui(ui, theme, "Add the rail", trouble, entered, acts)
        && let Ok(volts) = read
    {
        acts.push(Sketch::AddRail(volts).into());
    }
}

/// A resistor that is clipped on for the next readings.
pub fn clip_on_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    from: &Point,
    (ohm, to): (&mut String, &mut String),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let title = format!("Clip a resistor on at {}", words::point(from));
    text_ui(ui, &title, theme.title(), c.ink);
    let hint = "A known load of a few mA shows a poor joint that reads right unloaded. No lamp, and no more than the output can give.";
    text_ui(ui, hint, theme.body(), c.attention_text);
    let field = Field {
        name: "Its resistance",
        unit: "Ω",
        width: 200.0,
        ..Field::default()
    };
    let first = field_ui(ui, theme, ohm, &field);
    let field = Field {
        name: "Other end",
        width: 200.0,
        ..Field::default()
    };
    let second = field_ui(ui, theme, to, &field);
    let read = typed_number(ohm, Unit::Ohms).map_err(|error| error.to_string());
    let read = read.and_then(|ohm| {
        if !(LEAST_OHM..=1e7).contains(&ohm) {
            return Err("Between 1 Ω and 10 MΩ".to_owned());
        }
        let end = points::find(&model.job.circuit, to);
        let end = end.ok_or_else(|| "The other end is no point of this sketch".to_owned())?;
        if end == *from {
            return Err("Both ends are at the same point".to_owned());
        }
        Ok((ohm, end))
    });
    let trouble = read.as_ref().err().map(String::as_str);
    let entered = entered(ui, &first) || entered(ui, &second);
    if go_ui(ui, theme, "It is clipped on", trouble, entered, acts)
        && let Ok((ohm, to)) = read
    {
        let load = Attached {
            from: from.clone(),
            to,
            resistance: ohms(ohm),
        };
        acts.push(Bench::Attach(load).into());
    }
}
