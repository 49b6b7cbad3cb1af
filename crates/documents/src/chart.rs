//! A chart: the drawing that a page shows, dressed for paper.

use serde::Serialize;

/// Colours and strokes by class; a page has them from its style sheet.
const STYLE: &str = include_str!("../../../templates/documents/chart.css");

/// A drawing with what it says in words.
#[derive(Clone, Debug, Serialize)]
pub struct Chart {
    svg: String,
    alt: String,
}

impl Chart {
    /// Dresses a drawing. Its words are its own title and description.
    pub fn new(svg: &str) -> Self {
        let words = [inside(svg, "title"), inside(svg, "desc")];
        let words: Vec<String> =
            words.into_iter().flatten().map(plain).filter(|text| !text.trim().is_empty()).collect();
        let alt = if words.is_empty() { "A drawing without words.".to_owned() } else { words.join(". ") };
        Self { svg: dressed(svg), alt }
    }
}

/// The style goes right behind the opening tag.
fn dressed(svg: &str) -> String {
    match svg.split_once('>') {
        Some((open, rest)) => format!("{open}><style>{STYLE}</style>{rest}"),
        None => svg.to_owned(),
    }
}

fn inside<'a>(svg: &'a str, tag: &str) -> Option<&'a str> {
    let (_, rest) = svg.split_once(&format!("<{tag}"))?;
    let (_, rest) = rest.split_once('>')?;
    Some(rest.split_once(&format!("</{tag}>"))?.0)
}

fn plain(text: &str) -> String {
    let named = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    named.into_iter().fold(text.to_owned(), |text, (name, letter)| text.replace(name, letter))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SVG: &str = r#"<svg xmlns="http://www.w3.org/2000/svg"><title id="a">2 &lt; 3</title><desc id="b">Whisker</desc><g/></svg>"#;

    #[test]
    fn a_chart_is_said_in_its_own_words() {
        assert_eq!(Chart::new(SVG).alt, "2 < 3. Whisker");
        assert_eq!(Chart::new("<svg></svg>").alt, "A drawing without words.");
    }

    #[test]
    fn a_chart_is_dressed_once_and_stays_one_drawing() {
        let svg = Chart::new(SVG).svg;
        assert!(svg.contains("><style>") && svg.ends_with("<g/></svg>"), "{svg}");
        assert!(!svg.contains("var("), "paper knows no variables");
    }
}
