//! What every picture must be: well-formed, named, described, inside its frame, styled by class.

use roxmltree::{Document, Node};
use std::collections::HashSet;

const STYLE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets/stillwatch.css"));

/// Check every picture in `markup`; gives their descriptions.
pub fn sound(markup: &str) -> Vec<String> {
    let page = format!("<page>{markup}</page>");
    let page = Document::parse(&page).unwrap_or_else(|e| panic!("{e}: {markup}"));
    let mut ids = HashSet::new();
    for node in page.descendants().filter(Node::is_element) {
        assert!(
            node.attribute("style").is_none(),
            "a strict content policy drops style attributes"
        );
        assert!(!node.tag_name().name().eq_ignore_ascii_case("script"));
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id.to_owned()), "id {id} twice");
        }
        for class in node.attribute("class").unwrap_or_default().split_whitespace() {
            assert!(styled(class), "no rule for class {class}");
        }
    }
    let pictures: Vec<Node> = page.descendants().filter(|n| n.has_tag_name("svg")).collect();
    assert!(!pictures.is_empty());
    pictures.into_iter().map(picture).collect()
}

fn styled(class: &str) -> bool {
    let name = format!(".{class}");
    STYLE.match_indices(&name).any(|(at, _)| {
        let next = STYLE[at + name.len()..].chars().next();
        next.is_none_or(|c| !(c.is_ascii_alphanumeric() || c == '-'))
    })
}

fn picture(svg: Node) -> String {
    assert_eq!(svg.attribute("role"), Some("img"));
    let named: Vec<&str> = svg.attribute("aria-labelledby").unwrap().split(' ').collect();
    let mut children = svg.children();
    let (title, desc) = (children.next().unwrap(), children.next().unwrap());
    assert!(title.has_tag_name("title") && desc.has_tag_name("desc"));
    assert_eq!(named, [title.attribute("id").unwrap(), desc.attribute("id").unwrap()]);
    let desc = desc.text().unwrap_or_default();
    assert!(!desc.trim().is_empty(), "a picture says what it shows");

    let frame: Vec<f64> =
        svg.attribute("viewBox").unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
    let (width, height) = (frame[2], frame[3]);
    let inside = |x: f64, y: f64| {
        assert!((-0.05..=width + 0.05).contains(&x), "x {x} outside {width}");
        assert!((-0.05..=height + 0.05).contains(&y), "y {y} outside {height}");
    };
    for node in svg.descendants().filter(Node::is_element) {
        let number = |name: &str| node.attribute(name).map(|v| v.parse::<f64>().unwrap());
        match node.tag_name().name() {
            "path" => {
                points(node.attribute("d").unwrap()).into_iter().for_each(|p| inside(p.0, p.1))
            }
            "circle" => {
                let (x, y, r) =
                    (number("cx").unwrap(), number("cy").unwrap(), number("r").unwrap());
                inside(x - r, y - r);
                inside(x + r, y + r);
            }
            "text" => {
                // A fifth of an em a letter is less than any face in use: a word that is outside by
                // this measure is outside for every reader.
                let letters: String =
                    node.descendants().filter(Node::is_text).filter_map(|n| n.text()).collect();
                let length = 0.2 * 11.5 * letters.chars().count() as f64;
                let (x, y) = (number("x").unwrap(), number("y").unwrap());
                let left = match node.attribute("text-anchor") {
                    Some("middle") => x - length / 2.0,
                    Some("end") => x - length,
                    _ => x,
                };
                inside(left, y - 8.0);
                inside(left + length, y);
                assert!(!["NaN", "inf", "-inf"].contains(&letters.trim()), "{letters}");
            }
            _ => {}
        }
    }
    desc.to_owned()
}

/// Every point a path passes through or is drawn toward, for the commands M l c h z.
pub fn points(d: &str) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut at = (0.0, 0.0);
    let mut rest = d;
    while let Some(command) = rest.chars().next() {
        rest = &rest[1..];
        let end = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
        let (body, after) = rest.split_at(end);
        rest = after;
        let spaced = body.replace('-', " -");
        let numbers: Vec<f64> = spaced.split_whitespace().map(|n| n.parse().unwrap()).collect();
        match command {
            'M' => {
                at = (numbers[0], numbers[1]);
                found.push(at);
            }
            'l' => {
                assert!(numbers.len().is_multiple_of(2) && !numbers.is_empty());
                for step in numbers.chunks(2) {
                    at = (at.0 + step[0], at.1 + step[1]);
                    found.push(at);
                }
            }
            'c' => {
                for step in numbers.chunks(6) {
                    let from = at;
                    // Control points may be off the curve, never off the sheet.
                    for pair in step.chunks(2) {
                        at = (from.0 + pair[0], from.1 + pair[1]);
                        found.push(at);
                    }
                }
            }
            'h' => at.0 += numbers[0],
            'z' => assert!(numbers.is_empty()),
            other => panic!("unexpected command {other}"),
        }
    }
    found
}
