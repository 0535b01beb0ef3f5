//! Whether figures can stand together: what is impossible, what is worth a second look, and the likely slip.

use crate::conditions::Figures;
use crate::field::{self, Reading};
use crate::typed::shown;

/// How hard a remark is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Unlikely; may be kept with a word why.
    Doubtful,
    /// Cannot be: not taken.
    Impossible,
}

/// Figures that would settle a remark with one press.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What the button says.
    pub label: String,
    /// Reading names and the figures to put there, in the field's unit.
    pub set: Vec<(&'static str, f64)>,
}

/// One remark on one reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// Name of the reading it stands beside.
    pub key: &'static str,
    /// How hard it is.
    pub weight: Weight,
    /// The sentence.
    pub says: String,
    /// A likely mend.
    pub offer: Option<Offer>,
    /// It says no more than that the figure lies outside what is usual: where a limit of the ship is passed, that says more.
    pub only_unusual: bool,
}

/// What is in the record around these figures.
#[derive(Debug, Clone, Default)]
pub struct Around {
    /// Last counter reading, m³, and the hours since.
    pub meter: Option<(f64, f64)>,
    /// Next counter reading, m³, and the hours until then: a round written late, or one that is corrected.
    pub meter_after: Option<(f64, f64)>,
    /// Most the plant can make, t/day.
    pub product_max_t_day: f64,
}

/// Remarks on the figures of one round; hard ranges are checked where the text is read.
#[must_use]
pub fn remarks(read: &Figures, around: &Around) -> Vec<Remark> {
    let mut out = Vec::new();
    let get = |key: &str| read.get(key).copied();
    unusual(read, &mut out);
    let pair = |warm: &'static str, cold: &'static str, says: &str, out: &mut Vec<Remark>| {
        if let (Some(w), Some(c)) = (get(warm), get(cold))
            && c >= w
        {
            out.push(Remark {
                key: cold,
                weight: Weight::Doubtful,
                says: says.into(),
                offer: Some(Offer {
                    label: "Swap the two".into(),
                    set: vec![(warm, c), (cold, w)],
                }),
                only_unusual: false,
            });
        }
    };
    pair(
        "jacket_in_c",
        "jacket_out_c",
        "Jacket water out is not colder than in: swapped, or no heat taken?",
        &mut out,
    );
    pair(
        "sea_out_c",
        "sea_temp_c",
        "Sea water in is not colder than out: swapped, or nothing condensing?",
        &mut out,
    );
    if let (Some(vapour), Some(sea_out)) = (get("vapour_temp_c"), get("sea_out_c"))
        && sea_out > vapour + 0.5
    {
        out.push(doubt(
            "sea_out_c",
            "Sea water out is warmer than the vapour that heats it: one of the two is misread.",
        ));
    }
    if let (Some(vapour), Some(jacket_out)) = (get("vapour_temp_c"), get("jacket_out_c"))
        && vapour > jacket_out
    {
        out.push(doubt(
            "vapour_temp_c",
            "The vapour is warmer than the jacket water that boils it: one of the two is misread.",
        ));
    }
    if let (Some(vapour), Some(brine)) = (get("vapour_temp_c"), get("brine_temp_c"))
        && brine + 1.0 < vapour
    {
        out.push(doubt(
            "brine_temp_c",
            "Brine boils a little hotter than its vapour, never colder: one of the two is misread.",
        ));
    }
    vacuum_against_vapour(read, &mut out);
    meter(read, around, &mut out);
    // Of two mends for one reading the one that mends the other reading too comes first.
    out.sort_by_key(|remark| remark.only_unusual);
    out
}

fn doubt(key: &'static str, says: impl Into<String>) -> Remark {
    Remark { key, weight: Weight::Doubtful, says: says.into(), offer: None, only_unusual: false }
}

fn unusual(read: &Figures, out: &mut Vec<Remark>) {
    for reading in field::READINGS {
        let Some(&value) = read.get(reading.key) else { continue };
        let (low, high) = reading.usual;
        if let Some(remark) = vacuum_in_bar(reading, value) {
            out.push(remark);
        } else if low < high && !(low..=high).contains(&value) {
            let side = if value < low { "Lower" } else { "Higher" };
            let says = format!(
                "{side} than usual at sea ({} to {}): read again, or say why.",
                shown(reading, low),
                shown(reading, high)
            );
            out.push(Remark {
                key: reading.key,
                weight: Weight::Doubtful,
                says,
                offer: moved_point(reading, value),
                only_unusual: true,
            });
        }
    }
}

/// A vacuum under nothing by as much as a bar gauge shows at sea: the unit beside the box was the wrong one.
fn vacuum_in_bar(reading: &'static Reading, value: f64) -> Option<Remark> {
    let bar_g = reading.key == "shell_gauge_bar_g" && (-1.1..=-0.2).contains(&value);
    bar_g.then(|| {
        let percent = -value / 1.01325 * 100.0;
        let label = format!("It was {} bar g", shown(reading, value).replace('-', "−"));
        Remark {
            offer: Some(Offer { label, set: vec![(reading.key, percent)] }),
            ..doubt(reading.key, "A vacuum under nothing: does this gauge show bar?")
        }
    })
}

/// A decimal point left out or misplaced: a tenth or ten times the figure would be usual.
fn moved_point(reading: &'static Reading, value: f64) -> Option<Offer> {
    point_moved(reading, value)
        .map(|x| Offer { label: format!("Use {}", shown(reading, x)), set: vec![(reading.key, x)] })
}

/// A tenth or ten times a figure, where that would be usual.
pub(crate) fn point_moved(reading: &Reading, value: f64) -> Option<f64> {
    let (low, high) = reading.usual;
    [value / 10.0, value * 10.0].into_iter().find(|x| low < high && (low..=high).contains(x))
}

/// Vacuum and vapour temperature measure the same thing; 10 mbar is 2 K of boiling point.
fn vacuum_against_vapour(read: &Figures, out: &mut Vec<Remark>) {
    let (Some(percent), Some(vapour)) = (read.get("shell_gauge_bar_g"), read.get("vapour_temp_c"))
    else {
        return;
    };
    let barometer = read.get("barometer_hpa").copied();
    let atmosphere = barometer.unwrap_or(1013.25) * 100.0;
    let shell = atmosphere - percent / 100.0 * 101_325.0;
    if shell < 0.0 {
        let says = match barometer {
            Some(hpa) => format!(
                "More vacuum than there is atmosphere at {hpa:.0} hPa: gauge or barometer misread"
            ),
            None => "More vacuum than a standard atmosphere holds: read the barometer too".into(),
        };
        out.push(Remark {
            key: "shell_gauge_bar_g",
            weight: Weight::Impossible,
            says,
            offer: None,
            only_unusual: false,
        });
        return;
    }
    let by_gauge = water::saturation::temperature_c(shell);
    let gap = by_gauge - vapour;
    // A class 1.6 gauge is good for 10 mbar standing and 9 mbar a reading: 27 mbar in nine of ten, 5 K here.
    if gap.abs() > 5.0 {
        let without = if barometer.is_none() {
            " Read the barometer: without it the gauge is worth little."
        } else {
            ""
        };
        let (percent, other) = (*percent, atmosphere - vapour / 100.0 * 101_325.0);
        let fits = other > 0.0 && (water::saturation::temperature_c(other) - percent).abs() <= 5.0;
        let offer = fits.then(|| Offer {
            label: "Swap the two".into(),
            set: vec![("shell_gauge_bar_g", *vapour), ("vapour_temp_c", percent)],
        });
        let remark = doubt(
            "shell_gauge_bar_g",
            format!(
                "The gauge means vapour at {by_gauge:.1} °C, the thermometer says {vapour:.1} °C: one of the two is off.{without}"
            ),
        );
        out.push(Remark { offer, ..remark });
    }
}

fn meter(read: &Figures, around: &Around, out: &mut Vec<Remark>) {
    let Some(reading) = field::reading("distillate_meter_m3") else { return };
    let Some(&now) = read.get(reading.key) else { return };
    if let Some((next, hours)) = around.meter_after
        && (now > next || (next - now) / hours.max(0.1) * 24.0 > 1.5 * around.product_max_t_day)
    {
        let next = shown(reading, next);
        out.push(doubt(
            reading.key,
            format!("The round after stands at {next}: read again, or say why."),
        ));
    }
    let Some((last, hours)) = around.meter else { return };
    let most = last + around.product_max_t_day.max(1.0) * 1.5 * hours.max(0.1) / 24.0;
    if now < last {
        out.push(Remark {
            key: reading.key,
            weight: Weight::Doubtful,
            says: format!("A counter does not run back: it stood at {}. Read it again; if the meter was changed, say so.", shown(reading, last)),
            offer: swapped_digits(reading, now, last, most),
            only_unusual: false,
        });
    } else if now > most {
        let rate = (now - last) / hours.max(0.1) * 24.0;
        out.push(Remark {
            key: reading.key,
            weight: Weight::Doubtful,
            says: format!("{rate:.0} m³ a day since the last reading, more than she can make: misread, or another meter?"),
            offer: swapped_digits(reading, now, last, most),
            only_unusual: false,
        });
    }
}

/// Two neighbouring figures changed places: the one swap that would fit between `last` and `most`.
fn swapped_digits(reading: &'static Reading, now: f64, last: f64, most: f64) -> Option<Offer> {
    let scale = 10f64.powi(i32::from(reading.digits));
    let text = format!("{}", (now * scale).round());
    let mut figures: Vec<char> = text.chars().collect();
    let mut fits = Vec::new();
    for i in 1..figures.len() {
        figures.swap(i - 1, i);
        let value = figures.iter().collect::<String>().parse::<f64>().ok().map(|x| x / scale);
        if let Some(x) = value.filter(|x| (last..=most).contains(x)) {
            fits.push(x);
        }
        figures.swap(i - 1, i);
    }
    match fits[..] {
        [one] => Some(Offer {
            label: format!("Use {}", shown(reading, one)),
            set: vec![(reading.key, one)],
        }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(pairs: &[(&str, f64)]) -> Figures {
        pairs.iter().map(|(k, v)| ((*k).to_owned(), *v)).collect()
    }

    #[test]
    fn ident_jacket_water_cannot_gain_heat_in_the_heater() {
        let r =
            remarks(&figures(&[("jacket_in_c", 74.0), ("jacket_out_c", 84.0)]), &Around::default());
        let offer = r
            .iter()
            .find(|r| r.key == "jacket_out_c")
            .and_then(|r| r.offer.clone())
            .expect("offer");
        assert_eq!(offer.set, vec![("jacket_in_c", 84.0), ("jacket_out_c", 74.0)]);
    }

    #[test]
    fn ident_a_counter_does_not_run_back_and_the_swap_is_found() {
        let around =
            Around { meter: Some((48_213.4, 4.0)), product_max_t_day: 26.0, ..Around::default() };
        let r = remarks(&figures(&[("distillate_meter_m3", 48_126.9)]), &around);
        assert_eq!(r[0].weight, Weight::Doubtful);
        let set = &r[0].offer.as_ref().expect("offer").set;
        assert!((set[0].1 - 48_216.9).abs() < 1e-9);
    }

    #[test]
    fn ident_a_counter_stays_under_the_round_after() {
        let around = Around {
            meter_after: Some((1004.0, 4.0)),
            product_max_t_day: 25.0,
            ..Around::default()
        };
        let doubted =
            |m3: f64| !remarks(&figures(&[("distillate_meter_m3", m3)]), &around).is_empty();
        // Four hours make 4.2 m³ at 25 t a day; half as much again is let pass.
        assert!(!doubted(1000.0) && !doubted(998.0));
        assert!(doubted(1004.5) && doubted(997.0));
    }

    #[test]
    fn ref_vacuum_and_vapour_agree_at_saturation() {
        // IAPWS-IF97 table of saturation: 45 °C is 9.59439 kPa, so 90.53 % of a standard atmosphere is gone.
        let agree = figures(&[
            ("shell_gauge_bar_g", 90.53),
            ("vapour_temp_c", 45.0),
            ("barometer_hpa", 1013.25),
        ]);
        assert!(remarks(&agree, &Around::default()).is_empty());
        // A barometer 25 hPa down and not noted looks like a shell 5 K too hot.
        let apart = figures(&[("shell_gauge_bar_g", 87.0), ("vapour_temp_c", 45.0)]);
        assert!(remarks(&apart, &Around::default()).iter().any(|r| r.key == "shell_gauge_bar_g"));
    }

    #[test]
    fn ident_a_lost_decimal_point_is_offered_back() {
        let r = remarks(&figures(&[("jacket_in_c", 8.5)]), &Around::default());
        assert_eq!(r[0].offer.as_ref().map(|o| o.set[0].1), Some(85.0));
    }
}
