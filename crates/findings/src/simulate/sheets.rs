//! Five plant sheets for simulated plants: sizes from 12 to 48 t/day, other temperatures, feeds and films.

use plant::Sheet;

/// The demonstration plant with everything that grows with a plant grown by `size`.
fn sized(size: f64) -> Sheet {
    let mut sheet = Sheet::default();
    for figure in [
        &mut sheet.rated_product_t_day,
        &mut sheet.rated_jacket_flow_kg_s,
        &mut sheet.rated_condenser_flow_kg_s,
        &mut sheet.rated_gas_capacity_m3_s,
        &mut sheet.brine_capacity_kg_s,
        &mut sheet.separation_area_m2,
        &mut sheet.evaporator_area_m2,
        &mut sheet.condenser_area_m2,
        &mut sheet.product_max_t_day,
    ] {
        *figure *= size;
    }
    // A leak goes with the seams there are, a loss with the skin.
    sheet.rated_air_leak_kg_h *= size.powf(2.0 / 3.0);
    sheet.heat_loss_w_k *= size.powf(2.0 / 3.0);
    sheet
}

/// The sheets.
#[must_use]
pub fn sheets() -> [Sheet; 5] {
    let small = sized(0.5);
    let middle = sized(0.75);
    let large = sized(1.25);
    let double = sized(2.0);
    [
        Sheet::default(),
        Sheet {
            rated_jacket_in_c: 82.0,
            rated_jacket_flow_kg_s: 9.0,
            rated_sea_temp_c: 30.0,
            rated_vapour_temp_c: 44.0,
            rated_ejector_pressure_bar_g: 3.8,
            rated_gas_capacity_m3_s: 0.012,
            evaporator_split: [0.45, 0.10, 0.45],
            ..small
        },
        Sheet {
            rated_jacket_in_c: 80.0,
            rated_jacket_flow_kg_s: 14.0,
            rated_feed_ratio: 4.0,
            rated_vapour_temp_c: 45.0,
            brine_capacity_kg_s: 0.95,
            condenser_split: [0.48, 0.12, 0.40],
            ..middle
        },
        Sheet {
            rated_jacket_in_c: 88.0,
            rated_jacket_flow_kg_s: 18.5,
            rated_vapour_temp_c: 47.0,
            rated_feed_ratio: 3.0,
            brine_capacity_kg_s: 1.0,
            evaporator_split: [0.38, 0.14, 0.48],
            ..large
        },
        Sheet {
            rated_jacket_in_c: 84.0,
            rated_jacket_flow_kg_s: 34.0,
            rated_sea_temp_c: 30.0,
            rated_vapour_temp_c: 45.0,
            rated_ejector_pressure_bar_g: 4.2,
            rated_product_salt_mg_kg: 2.5,
            ..double
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use plant::{Plant, Point};

    #[test]
    fn ident_every_sheet_calibrates_and_its_jet_is_off_its_knee() {
        for sheet in sheets() {
            let plant = Plant::calibrate(&sheet).unwrap();
            let rated = plant.free(&Point::rated(&sheet)).unwrap();
            assert!((rated.product_t_day / sheet.rated_product_t_day - 1.0).abs() < 1e-9);
            assert!(rated.over_level == 0.0 && rated.flags.is_empty(), "{:?}", rated.flags);
        }
    }
}
