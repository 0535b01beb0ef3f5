//! Sea temperature and salinity beside what others published at named places: none of it went into our own fields.

use crate::common::{Row, at, table};
use ocean::{Ground, Position, Sea, Season};

/// One row: place, what, month, from and to.
fn figures(row: &Row) -> (Position, u8, f64, f64) {
    let place = at(row.number("lat"), row.number("lon"));
    let month = row.number("month") as u8;
    (place, month, row.number("low"), row.number("high"))
}

fn celsius(place: Position, month: u8) -> Option<f64> {
    let season = Season::mid_month(month).unwrap();
    let found = Sea::embedded().unwrap().surface_temperature(place, season);
    found.ok().map(|estimate| estimate.value.celsius())
}

/// Mean over the sea of ten degrees each way from this corner to the north-east, every degree.
fn mean_of(south: f64, west: f64, month: u8) -> f64 {
    let nodes = (0..10).flat_map(|i| (0..10).map(move |j| (f64::from(i), f64::from(j))));
    let nodes = nodes.map(|(i, j)| at(south + 0.5 + i, west + 0.5 + j));
    let sea = nodes.filter(|p| matches!(Sea::embedded().unwrap().ground(*p), Ground::Sea(_)));
    let temps: Vec<f64> = sea.filter_map(|p| celsius(p, month)).collect();
    assert!(temps.len() > 50, "{}", temps.len());
    temps.iter().sum::<f64>() / temps.len() as f64
}

/// Seven places on the line every month beside the Met Office's analysis of 2006 to 2010 (OSTIA), and the sea off Peru and
/// Ecuador beside NOAA's reconstruction of 1950 to 2010; Portugal's coast in June and the whole North Sea in winter and summer
/// beside means told in texts. Ours is of about 1970, so half a degree colder is as it should be.
#[test]
fn ref_sea_temperatures_beside_published_analyses() {
    let mut off = Vec::new();
    for row in table("atlas.csv") {
        let (place, month, wanted, _) = figures(&row);
        let found = match row.text("what") {
            "sst_c" => celsius(place, month).unwrap(),
            "sst_region_c" => mean_of(-10.0, -90.0, month),
            // The North Sea from Dover to Shetland.
            "sst_north_sea_c" => mean_of(51.0, -2.0, month),
            _ => continue,
        };
        let apart = found - wanted;
        assert!(apart.abs() <= 2.0, "{} month {month}: {found:.2}, {wanted}", row.text("name"));
        off.push(apart);
    }
    assert_eq!(off.len(), 8 * 12 + 5);
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    let rms = (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt();
    println!("{} figures: mean {mean:.2} K, root mean square {rms:.2} K", off.len());
    assert!((-0.8..=0.3).contains(&mean) && rms <= 0.9, "{mean} {rms}");
}

/// The three casts that the equation of state of 2010 is checked with, the sea off Bermuda, Helgoland, and the Red Sea along
/// its axis.
#[test]
fn ref_salinities_beside_published_figures() {
    let mut count = 0;
    for row in table("atlas.csv").iter().filter(|row| row.text("what") == "salinity") {
        let (place, _, low, high) = figures(row);
        let found = Sea::embedded().unwrap().surface_salinity(place).unwrap().value.practical();
        println!("{}: {found:.2}, published {low} to {high}", row.text("name"));
        // A cast of one spring in the Baltic lies under the mean of its year; off the Elbe the field is too fresh.
        let doubt = match row.text("name").split([',', ' ']).next() {
            Some("Baltic") => 1.2,
            Some("Helgoland") => 1.4,
            _ => 0.6,
        };
        let within = (low - doubt)..=(high + doubt);
        assert!(within.contains(&found), "{}: {found:.2}, {low} to {high}", row.text("name"));
        count += 1;
    }
    assert_eq!(count, 8);
}
