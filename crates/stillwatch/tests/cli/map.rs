//! `stillwatch map`: the same plant as `rate`, cell by cell.

use super::{lines, run, text};

#[test]
fn ident_every_cell_is_what_rate_answers() {
    let output = run(
        &[
            "map",
            "--x",
            "sea-temp=5:35:10",
            "--y",
            "jacket-in=10:90:20",
            "--of",
            "product,heat",
            "--format",
            "csv",
        ],
        b"",
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let csv = text(&output.stdout);
    let cells: Vec<Vec<&str>> = csv.lines().skip(1).map(|l| l.split(',').collect()).collect();
    assert_eq!(cells.len(), 4 * 5);
    let input: String = cells
        .iter()
        .map(|c| {
            format!(
                "{{\"at\": {{\"sea_temp_c\": {}, \"jacket_in_c\": {}, \"trimmed\": true}}}}\n",
                c[0], c[1]
            )
        })
        .collect();
    let answers = lines(&run(&["rate"], input.as_bytes()));
    let mut empty = 0;
    for (cell, answer) in cells.iter().zip(&answers) {
        if answer["error"].is_object() {
            empty += 1;
            assert_eq!((cell[2], cell[3]), ("", ""), "{cell:?}");
            assert_eq!(answer["error"]["kind"], cell[4], "{cell:?}");
            continue;
        }
        for (column, key) in [(2, "product_t_day"), (3, "evaporator_heat_w")] {
            let of_map: f64 = cell[column].parse().unwrap();
            let of_rate = answer[key].as_f64().unwrap();
            assert!((of_map / of_rate - 1.0).abs() < 1e-9, "{cell:?}: {of_rate}");
        }
    }
    // Jacket water of 10 °C heats no sea of 15 °C; of 90 °C, every one.
    assert!((4..cells.len() / 2).contains(&empty), "{empty} of {} empty", cells.len());
}

/// A picture another program can open: one SVG element, closed, its text the plant's words.
#[test]
fn ident_the_picture_is_one_drawing() {
    let output = run(&["map", "--format", "svg", "--x", "sea-temp=5:35:1"], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let svg = text(&output.stdout);
    assert_eq!((svg.matches("<svg").count(), svg.matches("</svg>").count()), (1, 1));
    assert!(svg.starts_with("<?xml") && svg.trim_end().ends_with("</svg>"));
    assert!(svg.contains("t/day") && !svg.contains("NaN") && !svg.contains("inf"));
}
