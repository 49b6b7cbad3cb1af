//! A finished drawing, and the pen that draws it.

use std::fmt::Write as _;

use serde::Serialize;

/// SVG made by this module. It serialises as an object, which is what the `svg` helper tells it from text by.
#[derive(Clone, Debug, Serialize)]
pub struct Drawing {
    svg: String,
}

impl Drawing {
    /// The markup, for documents.
    pub fn as_str(&self) -> &str {
        &self.svg
    }
}

/// Draws one picture.
pub(super) struct Pen {
    svg: String,
}

impl Pen {
    /// Starts a picture. `id` must be the only one of its kind on the page.
    pub(super) fn new(id: &str, class: &str, width: f64, height: f64, title: &str, desc: &str) -> Self {
        let id = escape(id);
        let mut svg = String::with_capacity(2048);
        let _ = write!(
            svg,
            r#"<svg xmlns="http://www.w3.org/2000/svg" class="chart {class}" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" aria-labelledby="{id}-title {id}-desc"><title id="{id}-title">{}</title><desc id="{id}-desc">{}</desc>"#,
            escape(title),
            escape(desc),
        );
        Self { svg }
    }

    /// A straight line.
    pub(super) fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64)) {
        let _ = write!(
            self.svg,
            r#"<line class="{class}" x1="{}" y1="{}" x2="{}" y2="{}" stroke="currentColor"/>"#,
            at(from.0),
            at(from.1),
            at(to.0),
            at(to.1),
        );
    }

    /// A filled rectangle; nothing if it has no area.
    pub(super) fn bar(&mut self, class: &str, corner: (f64, f64), width: f64, height: f64) {
        if width <= 0.0 || height <= 0.0 {
            return;
        }
        let _ = write!(
            self.svg,
            r#"<rect class="{class}" x="{}" y="{}" width="{}" height="{}" fill="currentColor"/>"#,
            at(corner.0),
            at(corner.1),
            at(width),
            at(height),
        );
    }

    /// A filled dot.
    pub(super) fn dot(&mut self, class: &str, centre: (f64, f64), radius: f64) {
        let _ = write!(
            self.svg,
            r#"<circle class="{class}" cx="{}" cy="{}" r="{}" fill="currentColor"/>"#,
            at(centre.0),
            at(centre.1),
            at(radius),
        );
    }

    /// An open ring.
    pub(super) fn ring(&mut self, class: &str, centre: (f64, f64), radius: f64) {
        let _ = write!(
            self.svg,
            r#"<circle class="{class}" cx="{}" cy="{}" r="{}" fill="none" stroke="currentColor"/>"#,
            at(centre.0),
            at(centre.1),
            at(radius),
        );
    }

    /// A path.
    pub(super) fn path(&mut self, class: &str, d: &str) {
        let _ = write!(self.svg, r#"<path class="{class}" d="{d}" fill="none" stroke="currentColor"/>"#);
    }

    /// A filled shape.
    pub(super) fn area(&mut self, class: &str, d: &str) {
        let _ = write!(self.svg, r#"<path class="{class}" d="{d}" fill="currentColor"/>"#);
    }

    /// Text with its anchor (`start`, `middle`, `end`).
    pub(super) fn text(&mut self, class: &str, place: (f64, f64), anchor: &str, text: &str) {
        let _ = write!(
            self.svg,
            r#"<text class="{class}" x="{}" y="{}" text-anchor="{anchor}" fill="currentColor" font-size="11">{}</text>"#,
            at(place.0),
            at(place.1),
            escape(text),
        );
    }

    /// Lifts the pen.
    pub(super) fn finish(mut self) -> Drawing {
        self.svg.push_str("</svg>");
        Drawing { svg: self.svg }
    }
}

/// A coordinate with a tenth of a pixel; what isn't finite is drawn at nought.
pub(super) fn at(number: f64) -> String {
    let tenth = if number.is_finite() { (number * 10.0).round() / 10.0 } else { 0.0 };
    format!("{}", if tenth == 0.0 { 0.0 } else { tenth })
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_from_people_can_draw_nothing() {
        let mut pen = Pen::new("a\"b", "c", 10.0, 10.0, "<script>", "\"&'");
        pen.text("t", (0.0, 0.0), "start", "</text><script>");
        let svg = pen.finish().svg;
        assert!(!svg.contains("<script"), "{svg}");
        assert!(svg.contains("a&quot;b-title") && svg.contains("&quot;&amp;&#39;"), "{svg}");
    }

    #[test]
    fn a_drawing_has_a_name_and_no_inline_style() {
        let svg = Pen::new("x", "c", 10.0, 10.0, "Title", "Said").finish().svg;
        assert!(svg.contains(r#"role="img" aria-labelledby="x-title x-desc""#));
        assert!(!svg.contains("style"));
    }

    #[test]
    fn coordinates_are_short_and_never_strange() {
        assert_eq!(at(1.26), "1.3");
        assert_eq!(at(-0.01), "0");
        assert_eq!(at(f64::NAN), "0");
    }
}
