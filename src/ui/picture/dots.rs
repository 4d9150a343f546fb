//! Shapes of the toolkit as dots, without a graphics card: triangle by triangle, over white.

use egui::{
    Color32, ColorImage, Context, FullOutput, Pos2, Rect, Vec2,
    epaint::{Mesh, Primitive, Vertex},
};

/// The picture in dots.
pub fn image(context: &Context, output: FullOutput, size: Vec2, fonts: &ColorImage) -> ColorImage {
    let density = output.pixels_per_point;
    let dots = [
        (size.x * density).round() as usize,
        (size.y * density).round() as usize,
    ];
    let mut image = ColorImage::filled(dots, Color32::WHITE);
    for clipped in context.tessellate(output.shapes, density) {
        if let Primitive::Mesh(mesh) = &clipped.primitive {
            mesh_on(&mut image, mesh, clipped.clip_rect, density, fonts);
        }
    }
    image
}

fn mesh_on(image: &mut ColorImage, mesh: &Mesh, clip: Rect, density: f32, fonts: &ColorImage) {
    for corners in mesh.indices.chunks_exact(3) {
        let at = |index: usize| mesh.vertices.get(*corners.get(index)? as usize).copied();
        if let (Some(a), Some(b), Some(c)) = (at(0), at(1), at(2)) {
            triangle_on(image, [a, b, c], clip, density, fonts);
        }
    }
}

fn triangle_on(
    image: &mut ColorImage,
    corners: [Vertex; 3],
    clip: Rect,
    density: f32,
    fonts: &ColorImage,
) {
    let place = |vertex: &Vertex| (vertex.pos.to_vec2() * density).to_pos2();
    let [a, b, c] = [place(&corners[0]), place(&corners[1]), place(&corners[2])];
    let whole = cross(a, b, c);
    if whole.abs() < 1e-9 {
        return;
    }
    let [width, height] = image.size;
    let seen = Rect::from_points(&[a, b, c]).intersect(Rect::from_min_max(
        (clip.min.to_vec2() * density).to_pos2(),
        (clip.max.to_vec2() * density).to_pos2(),
    ));
    let range = |low: f32, high: f32, most: usize| {
        let low = (low - 0.5).ceil().max(0.0) as usize;
        let high = (high - 0.5).floor().max(-1.0) + 1.0;
        low..(high as usize).min(most)
    };
    for y in range(seen.top(), seen.bottom(), height) {
        for x in range(seen.left(), seen.right(), width) {
            let dot = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
            let share = [
                cross(b, c, dot) / whole,
                cross(c, a, dot) / whole,
                cross(a, b, dot) / whole,
            ];
            // A dot on an edge belongs to one of the two triangles that share it: half-open, as far as floats allow.
            if share.iter().any(|s| *s < 0.0) {
                continue;
            }
            let pixel = &mut image.pixels[y * width + x];
            *pixel = over(mixed(&corners, share, fonts), *pixel);
        }
    }
}

fn cross(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Colour of a dot, opacity worked in: the corners' colours mixed, times the texture.
fn mixed(corners: &[Vertex; 3], share: [f32; 3], fonts: &ColorImage) -> [f32; 4] {
    let mut colour = [0.0; 4];
    let mut uv = [0.0; 2];
    for (corner, share) in corners.iter().zip(share) {
        for (sum, part) in colour.iter_mut().zip(corner.color.to_array()) {
            *sum += share * f32::from(part) / 255.0;
        }
        uv[0] += share * corner.uv.x;
        uv[1] += share * corner.uv.y;
    }
    let texel =
        |part: f32, size: usize| ((part * size as f32) as usize).min(size.saturating_sub(1));
    let (x, y) = (texel(uv[0], fonts.size[0]), texel(uv[1], fonts.size[1]));
    let texture = fonts
        .pixels
        .get(y * fonts.size[0] + x)
        .copied()
        .unwrap_or(Color32::WHITE);
    for (part, texture) in colour.iter_mut().zip(texture.to_array()) {
        *part *= f32::from(texture) / 255.0;
    }
    colour
}

/// One over the other, both with their opacity worked in (Porter and Duff 1984, “over”).
fn over([r, g, b, a]: [f32; 4], below: Color32) -> Color32 {
    let part = |over: f32, below: u8| {
        ((over + f32::from(below) / 255.0 * (1.0 - a)) * 255.0).round() as u8
    };
    Color32::from_rgb(part(r, below.r()), part(g, below.g()), part(b, below.b()))
}

/// The bytes of a PNG file.
///
/// # Errors
/// What the encoder says, in words.
pub fn png(image: &ColorImage) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let [width, height] = image
        .size
        .map(|side| u32::try_from(side).unwrap_or(u32::MAX));
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let dots: Vec<u8> = image
        .pixels
        .iter()
        .flat_map(|p| [p.r(), p.g(), p.b()])
        .collect();
    let mut writer = encoder.write_header().map_err(|error| error.to_string())?;
    writer
        .write_image_data(&dots)
        .map_err(|error| error.to_string())?;
    writer.finish().map_err(|error| error.to_string())?;
    Ok(bytes)
}
