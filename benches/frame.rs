//! How long a frame of the bench takes for sketches of 300 and 2,000 parts: laying it out as shapes, and those shapes as triangles.
//! Painting the triangles is the graphics driver's.

use std::{hint::black_box, sync::Arc};

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, Pos2, RawInput, Rect, vec2};
use pinchpoint::{
    app::{Model, model::Answer},
    circuit::{
        Point, Terminal,
        edit::{Addition, add},
        quick_feed,
    },
    diagnosis::diagnose,
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Reading},
    ui::{
        bench::{Bench, Drawing, Looks, bench_ui, face},
        theme::{self, Theme},
    },
};

/// Parts of the sketches, wires included.
const PARTS: [usize; 2] = [300, 2_000];
/// Parts up to which the answer is worked out first; beyond that it takes minutes, and the drawing is timed without it.
const ANSWERED: usize = 400;

/// A feed of so many parts with three readings and, if it is not too large, its answer.
fn model(most: usize) -> Model {
    let mut circuit = quick_feed(volts(5.0), 40, true, true);
    let sensor = Addition::Sensor {
        plug: true,
        back: None,
    };
    let joints: Vec<Point> = circuit
        .splices
        .iter()
        .map(|splice| Point::new(&splice.id, Terminal::Only))
        .collect();
    for joint in joints.iter().cycle() {
        if circuit.ids().count() >= most || add(&mut circuit, joint, &sensor).is_err() {
            break;
        }
    }
    let supply = circuit
        .supplies
        .first()
        .map_or_else(String::new, |supply| supply.id.clone());
    let read = |point: &str, volts: f64| {
        point
            .parse()
            .ok()
            .map(|point| Entry::Reading(Reading::volts(point, volts)))
    };
    let feed = format!("{supply}.feed");
    let log = [(feed.as_str(), 1.9), ("C1.1n", 1.88), ("C1.1f", 1.87)];
    let job = Job {
        circuit,
        log: log
            .into_iter()
            .filter_map(|(point, volts)| read(point, volts))
            .collect(),
        ..Job::default()
    };
    let mut model = Model::new(job);
    if most <= ANSWERED {
        let findings = Arc::new(diagnose(&model.job.question()));
        model.answer = Some(Answer::of(Arc::clone(&model.job), findings));
    }
    model
}

/// A window without a screen.
struct Bare {
    context: Context,
    theme: Theme,
    input: RawInput,
    looks: Looks,
    model: Model,
    drawing: Drawing,
}

impl Bare {
    fn new(model: Model) -> Self {
        let (context, theme) = (Context::default(), Theme::new(false, false));
        theme::install(&context, &theme);
        let screen = Rect::from_min_size(Pos2::ZERO, vec2(1920.0, 1080.0));
        let mut bare = Self {
            context,
            theme,
            input: RawInput {
                screen_rect: Some(screen),
                ..RawInput::default()
            },
            looks: Looks::default(),
            drawing: Drawing::new(&model),
            model,
        };
        // The layout follows the zoom of the frame before.
        for _ in 0..4 {
            bare.frame();
        }
        bare
    }

    fn frame(&mut self) -> egui::FullOutput {
        let (theme, mut view) = (self.theme, None);
        let bench = Bench {
            model: &self.model,
            drawing: &self.drawing,
            looks: &self.looks,
            sum: None,
            steps: &[],
            left: None,
            sum_at_log: false,
            pad_at_value: false,
            notices: 0.0,
        };
        let mut output = self.context.run_ui(self.input.clone(), |ui| {
            view = Some(bench_ui(ui, &theme, &bench, &mut Vec::new()));
        });
        if let Some(view) = view {
            self.drawing.zoomed(&self.model, &view, face(&theme));
        }
        // No screen takes the letters that were drawn anew.
        output.textures_delta.clear();
        output
    }
}

fn frames(c: &mut Criterion) {
    let mut group = c.benchmark_group("frame of the bench");
    group.sample_size(20);
    for most in PARTS {
        let model = model(most);
        let parts = model.job.circuit.ids().count();
        let mut bare = Bare::new(model);
        group.bench_function(format!("{parts} parts, shapes"), |b| {
            b.iter(|| black_box(bare.frame()));
        });
        let shapes = bare.frame().shapes;
        group.bench_function(format!("{parts} parts, triangles"), |b| {
            b.iter(|| black_box(bare.context.tessellate(shapes.clone(), 1.0)));
        });
    }
    group.finish();
}

criterion_group!(benches, frames);
criterion_main!(benches);
