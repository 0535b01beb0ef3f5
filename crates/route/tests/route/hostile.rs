//! Files that mean harm or mean nothing: refused in a sentence, in little memory, without a panic.

use std::io::Read;

use proptest::prelude::*;
use route::{Fault, LARGEST_FILE, Reading, Route, Version};

use crate::{clear, said};

fn first(bytes: &[u8]) -> Fault {
    let reading = Reading::of_bytes(bytes);
    assert!(reading.route.is_none());
    reading.problems[0].fault.clone()
}

fn some_route() -> Route {
    clear("0 0 N 0 0 E, ETD 2026-05-04 06:00Z, 12 kn\n0 0 N 1 0 E\n")
}

#[test]
fn entities_of_a_file_s_own_are_refused() {
    let bomb = r#"<?xml version="1.0"?><!DOCTYPE route [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><route version="1.0" xmlns="http://www.cirm.org/RTZ/1/0"><routeInfo routeName="&c;"/></route>"#;
    let outside = r#"<!DOCTYPE route [<!ENTITY x SYSTEM "file:///etc/passwd">]><route xmlns="http://www.cirm.org/RTZ/1/0"/>"#;
    for text in [bomb, outside, "<!DOCTYPE route><route/>"] {
        assert!(matches!(first(text.as_bytes()), Fault::Xml { .. }));
        assert!(said(text)[0].contains("without a DTD"));
    }
}

#[test]
fn nesting_without_end_is_no_danger() {
    let deep = "<a>".repeat(300_000);
    assert!(matches!(first(deep.as_bytes()), Fault::Xml { .. }));
    let closed = format!("{}{}", "<a>".repeat(150_000), "</a>".repeat(150_000));
    assert!(matches!(first(closed.as_bytes()), Fault::NotRtz { .. } | Fault::Xml { .. }));
    let right = some_route().to_rtz(Version::V1_2);
    let nested = format!(
        "<extensions>{}{}</extensions></route>",
        "<a>".repeat(20_000),
        "</a>".repeat(20_000)
    );
    let reading = Reading::of_bytes(right.replace("</route>", &nested).as_bytes());
    assert!(reading.problems.iter().all(|problem| !problem.to_string().is_empty()));
}

/// A source that would give four hundred megabytes, and counts what is taken from it.
struct Endless {
    left: u64,
    taken: u64,
}

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = buffer.len().min(usize::try_from(self.left).unwrap_or(usize::MAX));
        buffer[..count].fill(b'<');
        self.left -= count as u64;
        self.taken += count as u64;
        Ok(count)
    }
}

#[test]
fn a_file_of_400_megabytes_is_refused_by_its_size() {
    let mut source = Endless { left: 400 << 20, taken: 0 };
    let reading = Reading::of_source(&mut source);
    let fault = Fault::TooLarge { bytes: LARGEST_FILE + 1, allowed: LARGEST_FILE };
    assert_eq!(reading.problems[0].fault, fault);
    assert_eq!(source.taken, LARGEST_FILE + 1);
}

#[test]
fn containers_are_taken_with_one_route_of_sane_size() {
    let route = some_route();
    let right = route.to_rtzp(Version::V1_0).unwrap();
    assert_eq!(Reading::of_bytes(&right).route, Some(route));
    for cut in [4, 30, right.len() / 2, right.len() - 1] {
        assert!(matches!(first(&right[..cut]), Fault::Zip { .. } | Fault::ZipRoutes { .. }));
    }
    let mut damaged = right.clone();
    damaged[60] ^= 0x55;
    assert!(matches!(first(&damaged), Fault::Zip { .. } | Fault::ZipRoutes { .. }));
    assert_eq!(
        first(b"PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0"),
        Fault::ZipRoutes { count: 0 }
    );
}

#[test]
fn what_is_no_text_is_told_where() {
    assert_eq!(first(b"0 0 N 0 0 E\xff\n"), Fault::NotText { at: 11 });
}

#[test]
fn many_bad_lines_end_early() {
    let text = "nonsense\n".repeat(100_000);
    assert!(matches!(first(text.as_bytes()), Fault::ManyWaypoints { .. }));
    let table = format!("lat,lon\n{}", "x,y\n".repeat(100_000));
    assert!(matches!(first(table.as_bytes()), Fault::ManyWaypoints { .. }));
}

/// Texts near those that are read: pieces of them in any order.
fn near() -> impl Strategy<Value = String> {
    let pieces = [
        "0 0 N 0 0 E",
        ", ",
        "; ",
        "\t",
        "\n",
        "ETA ",
        "ETD ",
        "2026-05-04 06:00Z",
        "12 kn",
        "anchor ",
        "12 h",
        "berth",
        "\"",
        "#",
        "route:",
        "clock: ",
        "zone ",
        "+10",
        "load 80 %",
        "gc",
        "full away",
        "end of passage",
        "-",
        "1e400",
        "180",
        "91",
        "°",
        "é",
        "lat,lon,name",
        "position;speed",
        "<route xmlns=\"http://www.cirm.org/RTZ/1/2\" version=\"1.2\">",
        "<waypoints>",
        "<waypoint id=\"1\">",
        "<position lat=\"1\" lon=\"2\"/>",
        "</waypoint>",
        "</waypoints>",
        "</route>",
        "P1D",
        "&#0;",
        "NaN",
        "9999-12-31 23:59Z",
        "-9999-01-01 00:00Z",
        "400 d",
        "0.0000001 kn",
    ];
    proptest::collection::vec(proptest::sample::select(pieces.to_vec()), 0..60)
        .prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn ident_no_text_makes_it_panic(text in prop_oneof![near(), "\\PC{0,200}", "(?s).{0,400}"]) {
        for problem in Reading::of_bytes(text.as_bytes()).problems {
            prop_assert!(!problem.to_string().is_empty());
        }
    }

    #[test]
    fn ident_no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000), zip in any::<bool>()) {
        let mut all = if zip { b"PK\x03\x04".to_vec() } else { Vec::new() };
        all.extend(bytes);
        let _ = Reading::of_bytes(&all);
    }

    #[test]
    fn ident_no_change_to_a_right_file_makes_it_panic(at in 0..4000_usize, with in any::<u8>(), cut in any::<bool>()) {
        let route = some_route();
        let mut files: Vec<Vec<u8>> = Version::ALL.iter().map(|version| route.to_rtz(*version).into_bytes()).collect();
        files.push(route.to_rtzp(Version::V1_2).unwrap());
        files.push(route.to_csv().into_bytes());
        files.push(route.to_lines().into_bytes());
        for mut file in files {
            let at = at % file.len();
            if cut { file.truncate(at) } else { file[at] = with }
            let _ = Reading::of_bytes(&file);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Up to 64 kilobytes of anything, and of anything inside a route exchange file.
    #[test]
    fn ident_no_long_text_makes_it_panic(text in "(?s).{0,16000}", pieces in proptest::collection::vec(near(), 0..200)) {
        let _ = Reading::of_bytes(text.as_bytes());
        let pieces = pieces.concat();
        let _ = Reading::of_bytes(pieces.as_bytes());
        let wrapped = some_route().to_rtz(Version::V1_1).replace("<waypoints>", &format!("<waypoints>{pieces}"));
        let _ = Reading::of_bytes(wrapped.as_bytes());
    }
}
