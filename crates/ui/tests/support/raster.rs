//! Draws what egui tessellated, triangle by triangle, without a window or a graphics card.

use egui::epaint::{ImageData, ImageDelta, Mesh, Primitive};
use egui::{Color32, Pos2, Rect, TextureId, TexturesDelta};
use image::{Rgba, RgbaImage};
use std::collections::HashMap;

#[derive(Default)]
pub struct Raster {
    textures: HashMap<TextureId, egui::ColorImage>,
}

impl Raster {
    fn patch(&mut self, id: TextureId, delta: &ImageDelta) {
        let ImageData::Color(image) = &delta.image;
        match delta.pos {
            None => {
                self.textures.insert(id, (**image).clone());
            }
            Some([x, y]) => {
                let whole = self.textures.get_mut(&id).expect("a patch follows its whole");
                let width = whole.size[0];
                for row in 0..image.size[1] {
                    let to = (y + row) * width + x;
                    let from = row * image.size[0];
                    whole.pixels[to..to + image.size[0]]
                        .copy_from_slice(&image.pixels[from..from + image.size[0]]);
                }
            }
        }
    }

    fn mesh(&self, target: &mut [[f32; 4]], size: [usize; 2], clip: Rect, mesh: &Mesh, scale: f32) {
        let Some(texture) = self.textures.get(&mesh.texture_id) else { return };
        for corner in mesh.indices.chunks_exact(3) {
            let v = [0, 1, 2].map(|i| mesh.vertices[corner[i] as usize]);
            let p = v.map(|v| Pos2::new(v.pos.x * scale, v.pos.y * scale));
            let area = cross(p[0], p[1], p[2]);
            if area == 0.0 {
                continue;
            }
            let min_x = p.iter().map(|p| p.x).fold(f32::MAX, f32::min).max(clip.min.x * scale).floor();
            let max_x = p.iter().map(|p| p.x).fold(f32::MIN, f32::max).min(clip.max.x * scale).ceil();
            let even = even(texture, &v);
            let min_y = p.iter().map(|p| p.y).fold(f32::MAX, f32::min).max(clip.min.y * scale).floor();
            let max_y = p.iter().map(|p| p.y).fold(f32::MIN, f32::max).min(clip.max.y * scale).ceil();
            for y in min_y.max(0.0) as usize..(max_y.max(0.0) as usize).min(size[1]) {
                for x in min_x.max(0.0) as usize..(max_x.max(0.0) as usize).min(size[0]) {
                    let at = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
                    if !clip.contains(Pos2::new(at.x / scale, at.y / scale)) {
                        continue;
                    }
                    let w = [
                        cross(p[1], p[2], at) / area,
                        cross(p[2], p[0], at) / area,
                        cross(p[0], p[1], at) / area,
                    ];
                    if inside(w[0], p[1], p[2], area)
                        && inside(w[1], p[2], p[0], area)
                        && inside(w[2], p[0], p[1], area)
                    {
                        blend(&mut target[y * size[0] + x], even.unwrap_or_else(|| shade(texture, &v, w)));
                    }
                }
            }
        }
    }
}

/// The top-left rule, so that two triangles sharing an edge never both draw a pixel on it.
fn inside(weight: f32, a: Pos2, b: Pos2, area: f32) -> bool {
    let (a, b) = if area > 0.0 { (a, b) } else { (b, a) };
    let edge = b - a;
    weight > 0.0 || (weight == 0.0 && (edge.y < 0.0 || (edge.y == 0.0 && edge.x > 0.0)))
}

fn cross(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// The shade of a triangle that has the same one everywhere.
fn even(texture: &egui::ColorImage, v: &[egui::epaint::Vertex; 3]) -> Option<[f32; 4]> {
    let alike = v.iter().all(|corner| corner.uv == v[0].uv && corner.color == v[0].color);
    alike.then(|| shade(texture, v, [1.0, 0.0, 0.0]))
}

fn shade(texture: &egui::ColorImage, v: &[egui::epaint::Vertex; 3], w: [f32; 3]) -> [f32; 4] {
    let mix = |f: &dyn Fn(usize) -> f32| w[0] * f(0) + w[1] * f(1) + w[2] * f(2);
    let texel = sample(texture, mix(&|i| v[i].uv.x), mix(&|i| v[i].uv.y));
    std::array::from_fn(|c| mix(&|i| f32::from(v[i].color.to_array()[c])) * texel[c] / 255.0)
}

fn sample(texture: &egui::ColorImage, u: f32, v: f32) -> [f32; 4] {
    let [width, height] = texture.size;
    let (x, y) = (u * width as f32 - 0.5, v * height as f32 - 0.5);
    let (fx, fy) = (x - x.floor(), y - y.floor());
    let at = |dx: f32, dy: f32| {
        let px = (x.floor() + dx).clamp(0.0, width as f32 - 1.0) as usize;
        let py = (y.floor() + dy).clamp(0.0, height as f32 - 1.0) as usize;
        texture.pixels[py * width + px].to_array().map(f32::from)
    };
    let (a, b, c, d) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(1.0, 1.0));
    std::array::from_fn(|i| {
        (a[i] * (1.0 - fx) + b[i] * fx) * (1.0 - fy) + (c[i] * (1.0 - fx) + d[i] * fx) * fy
    })
}

fn blend(under: &mut [f32; 4], over: [f32; 4]) {
    let keep = 1.0 - over[3] / 255.0;
    for (u, o) in under.iter_mut().zip(over) {
        *u = o + *u * keep;
    }
}

impl egui_kittest::TestRenderer for Raster {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, deltas) in &delta.set {
            for delta in deltas {
                self.patch(*id, delta);
            }
        }
        delta.clear();
    }

    fn render(&mut self, ctx: &egui::Context, output: &egui::FullOutput) -> Result<RgbaImage, String> {
        let scale = output.pixels_per_point;
        let screen = ctx.content_rect().size() * scale;
        let size = [screen.x.round() as usize, screen.y.round() as usize];
        let mut target = vec![[0.0, 0.0, 0.0, 255.0]; size[0] * size[1]];
        for primitive in ctx.tessellate(output.shapes.clone(), scale) {
            if let Primitive::Mesh(mesh) = &primitive.primitive {
                self.mesh(&mut target, size, primitive.clip_rect, mesh, scale);
            }
        }
        let pixel = |c: [f32; 4]| Rgba(c.map(|c| c.round().clamp(0.0, 255.0) as u8));
        Ok(RgbaImage::from_fn(size[0] as u32, size[1] as u32, |x, y| {
            pixel(target[y as usize * size[0] + x as usize])
        }))
    }
}

/// The colour of a pixel, for tests.
pub fn pixel(image: &RgbaImage, x: u32, y: u32) -> Color32 {
    let Rgba([r, g, b, _]) = *image.get_pixel(x, y);
    Color32::from_rgb(r, g, b)
}
