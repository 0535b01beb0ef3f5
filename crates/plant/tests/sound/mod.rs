//! What must hold of the plant whatever it is asked: shared by the property tests and the fuzz targets.

use plant::{Infeasible, Plant, Point, Sheet};

/// Any point: an answer whose every figure is a number and balances, or a refusal that names itself.
pub fn point(plant: &Plant, point: &Point) {
    let solution = match plant.rate(point) {
        Ok(solution) => solution,
        Err(e) => {
            assert!(!e.to_string().is_empty() && !e.kind().is_empty(), "{point:?}");
            assert!(e.numbers().iter().all(|(_, x)| x.is_finite()), "{e:?} {point:?}");
            return;
        }
    };
    for (key, value) in solution.figures() {
        assert!(value.is_finite(), "{key} {point:?}");
    }
    let off = solution.residuals;
    for (what, off) in [("mass", off.mass), ("salt", off.salt), ("energy", off.energy)] {
        assert!(off.abs() <= 1e-9, "{what} {off} {point:?}");
    }
    // Second law: heat runs down the temperatures, vapour is colder than its brine.
    let s = &solution;
    assert!(s.jacket_in_c > s.brine_temp_c && s.brine_temp_c >= s.vapour_temp_c, "{point:?}");
    assert!(s.condensing_temp_c <= s.vapour_temp_c + 1e-9, "{point:?}");
    assert!(s.sea_out_c <= s.condensing_temp_c + 1e-6, "{point:?}");
}

/// Any sheet: calibrated, reproducing its rated point, or refused in words.
pub fn sheet(sheet: &Sheet) {
    match Plant::calibrate(sheet) {
        Ok(plant) => match plant.free(&Point::rated(sheet)) {
            Ok(s) => {
                let off = s.product_t_day / sheet.rated_product_t_day - 1.0;
                assert!(off.abs() < 1e-8, "{} {sheet:?}", s.product_t_day);
            }
            Err(e) => assert!(
                matches!(e, Infeasible::FeedBelowDistillate { .. } | Infeasible::Refused(_)),
                "{e} {sheet:?}"
            ),
        },
        Err(e) => assert!(!e.to_string().is_empty()),
    }
}
