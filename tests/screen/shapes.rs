//! What a window paints: its shapes, and the words among them.

use crate::driver::Window;
use eframe::egui::{Rect, Shape};

/// Every simple shape of the last frame.
pub fn shapes(window: &Window) -> Vec<Shape> {
    fn flat(shape: &Shape, all: &mut Vec<Shape>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| flat(shape, all)),
            shape => all.push(shape.clone()),
        }
    }
    let mut all = Vec::new();
    for clipped in &window.output().shapes {
        flat(&clipped.shape, &mut all);
    }
    all
}

/// Every text of the last frame, and where it stands.
pub fn words(window: &Window) -> Vec<(String, Rect)> {
    let texts = shapes(window).into_iter().filter_map(|shape| match shape {
        Shape::Text(text) => Some((text.galley.text().to_owned(), text.visual_bounding_rect())),
        _ => None,
    });
    texts.collect()
}

/// Where this very text stands first.
pub fn written_at(window: &Window, text: &str) -> Option<Rect> {
    let mut found = words(window).into_iter().filter(|(word, _)| word == text);
    found.next().map(|(_, rect)| rect)
}
