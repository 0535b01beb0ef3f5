//! Long lines made short: what a pen of that width could not show is left out.

/// Points of one unbroken line, units.
pub(crate) type Line = Vec<(f64, f64)>;

/// For lines that run to the right only: at most about `most` points, the least and the most of
/// every piece of the line in the order they came, and none of those that lie within `slack` of
/// what remains.
pub(crate) fn thin(points: &[(f64, f64)], most: usize, slack: f64) -> Line {
    let width = match (points.first(), points.last()) {
        (Some(first), Some(last)) => last.0 - first.0,
        _ => return Line::new(),
    };
    let mut column = (0.5 * width / most.max(8) as f64).max(1.0);
    let mut line = simplify(&columns(points, column), slack);
    while line.len() > most.max(8) && column < 1000.0 {
        column *= 1.4;
        line = simplify(&columns(points, column), slack);
    }
    line
}

/// Least and most of every `column` units of width.
fn columns(points: &[(f64, f64)], column: f64) -> Line {
    let mut kept = Line::new();
    let mut rest = points;
    while let Some(&first) = rest.first() {
        let end = first.0 + column;
        let count = rest.iter().take_while(|p| p.0 < end).count().max(1);
        let (piece, after) = rest.split_at(count);
        rest = after;
        let by_height = |a: &usize, b: &usize| piece[*a].1.total_cmp(&piece[*b].1);
        let least = (0..count).min_by(by_height).unwrap_or(0);
        let most = (0..count).max_by(by_height).unwrap_or(0);
        kept.push(piece[least.min(most)]);
        if least != most {
            kept.push(piece[least.max(most)]);
        }
    }
    // The line begins and ends where the record does.
    if let (Some(&first), Some(&last)) = (points.first(), points.last()) {
        if kept.first() != Some(&first) {
            kept.insert(0, first);
        }
        if kept.last() != Some(&last) {
            kept.push(last);
        }
    }
    kept
}

/// Without the points that lie within `slack` of the line that remains (the rule of Ramer, Douglas
/// and Peucker). Unlike [`thin`] it takes lines that turn back on themselves.
pub(crate) fn simplify(points: &[(f64, f64)], slack: f64) -> Line {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut open = vec![(0, points.len() - 1)];
    while let Some((a, b)) = open.pop() {
        let off = off_line(points[a], points[b]);
        let (mut farthest, mut square) = (a, slack * slack);
        for (k, p) in points.iter().enumerate().take(b).skip(a + 1) {
            let off = off(*p);
            if off > square {
                (farthest, square) = (k, off);
            }
        }
        if farthest > a {
            keep[farthest] = true;
            open.push((a, farthest));
            open.push((farthest, b));
        }
    }
    points.iter().zip(keep).filter_map(|(p, k)| k.then_some(*p)).collect()
}

/// The square of the distance from the line through `a` and `b`, or from `a` where they are one.
fn off_line(a: (f64, f64), b: (f64, f64)) -> impl Fn((f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let square = dx * dx + dy * dy;
    move |p| {
        let (x, y) = (p.0 - a.0, p.1 - a.1);
        if square < 1e-18 {
            return x * x + y * y;
        }
        let across = x * dy - y * dx;
        across * across / square
    }
}

/// A line as spots a few units apart, for placing labels off it.
pub(crate) fn spots(line: &[(f64, f64)]) -> Line {
    let mut spots = Line::new();
    for pair in line.windows(2) {
        let [(x1, y1), (x2, y2)] = [pair[0], pair[1]];
        let count = ((x2 - x1).hypot(y2 - y1) / 5.0).ceil().clamp(1.0, 200.0) as u32;
        for k in 0..count {
            let part = f64::from(k) / f64::from(count);
            spots.push((x1 + (x2 - x1) * part, y1 + (y2 - y1) * part));
        }
    }
    spots.extend(line.last());
    spots
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_straight_line_keeps_its_ends() {
        let line: Line = (0..100).map(|k| (f64::from(k), 2.0 * f64::from(k))).collect();
        assert_eq!(thin(&line, 400, 0.1), [(0.0, 0.0), (99.0, 198.0)]);
    }

    #[test]
    fn a_spike_survives() {
        let mut line: Line = (0..10_000).map(|k| (f64::from(k) * 0.05, 10.0)).collect();
        line[5_003].1 = 90.0;
        let thinned = thin(&line, 400, 0.3);
        assert!(thinned.len() < 10 && thinned.iter().any(|p| p.1 == 90.0));
    }

    #[test]
    fn a_line_that_turns_back_keeps_its_shape() {
        let ring: Line = (0..=200)
            .map(|k| f64::from(k) * std::f64::consts::TAU / 200.0)
            .map(|a| (50.0 * a.cos(), 50.0 * a.sin()))
            .collect();
        let fewer = simplify(&ring, 0.25);
        assert!(fewer.len() > 20 && fewer.len() < 60);
        assert!(spots(&fewer).iter().all(|p| (p.0.hypot(p.1) - 50.0).abs() <= 0.25 + 1e-9));
    }

    #[test]
    fn a_noisy_line_keeps_to_its_number_and_its_extremes() {
        let height = |k: u32| 40.0 * (f64::from(k) * 12.9898).sin();
        let line: Line = (0..20_000).map(|k| (f64::from(k) * 0.03, height(k))).collect();
        let thinned = thin(&line, 150, 0.3);
        assert!(thinned.len() <= 150);
        let most = |l: &Line| l.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        assert_eq!(most(&thinned), most(&line));
    }

    proptest! {
        #[test]
        fn nothing_moves_further_than_the_slack(heights in prop::collection::vec(0f64..80.0, 2..200)) {
            let line: Line = heights.iter().enumerate().map(|(k, y)| (k as f64 * 3.0, *y)).collect();
            let thinned = thin(&line, 400, 0.4);
            prop_assert_eq!(thinned.first(), line.first());
            prop_assert_eq!(thinned.last(), line.last());
            for p in &line {
                let near = thinned.windows(2).filter(|w| w[0].0 <= p.0 && p.0 <= w[1].0).map(|w| off_line(w[0], w[1])(*p).sqrt()).fold(f64::INFINITY, f64::min);
                prop_assert!(near <= 0.4 + 1e-9);
            }
        }
    }
}
