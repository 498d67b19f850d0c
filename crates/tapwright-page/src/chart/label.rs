//! Where the labels go: each near what it names, none on top of another.

use super::geometry::{Point, Rect};

/// Size of the type, in tenths of a unit, where the chart is drawn smallest.
const SIZE: f64 = 130.0;
/// Room that a letter takes on average; ample for the usual interface faces.
pub(super) const LETTER: f64 = 76.0;
/// The class of what is set bold, and so wider.
const BOLD: &str = "main";
/// Least distance between the lines of labels beside the plot.
const LINE: f64 = 140.0;
/// Gap between a label and what it names.
const GAP: f64 = 45.0;
/// A place that costs less than this is good enough: no better one is looked for.
const CLEAR: f64 = 100.0;

/// Which end of a text is at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    First,
    Last,
}

/// A text with its place: one end of its baseline.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub text: String,
    pub class: &'static str,
    pub at: Point,
    pub end: End,
}

impl Label {
    /// The room that the text takes.
    pub fn room(&self) -> Rect {
        let bold = self.class.contains(BOLD);
        let width = width(&self.text) * if bold { 1.12 } else { 1.0 };
        let x0 = match self.end {
            End::First => self.at.0,
            End::Last => self.at.0 - width,
        };
        Rect {
            x0,
            y0: self.at.1 - SIZE * 0.85,
            x1: x0 + width,
            y1: self.at.1 + SIZE * 0.25,
        }
    }
}

/// Room that a text takes in a line.
pub(super) fn width(text: &str) -> f64 {
    text.chars().count() as f64 * LETTER
}

/// What labels inside the plot have to keep clear of.
pub(super) struct Layout<'a> {
    pub plot: Rect,
    /// Lines, each with what it costs to cross it.
    pub lines: &'a [(Vec<Point>, f64)],
    pub taken: Vec<Rect>,
}

impl Layout<'_> {
    /// Finds a place for a text near one of `spots`, the best spot first, and takes it.
    /// `None` when nothing fits into the plot.
    pub fn place(&mut self, text: &str, class: &'static str, spots: &[Point]) -> Option<Label> {
        let mut best: Option<(f64, Label)> = None;
        let sides = [
            (GAP, -GAP, End::First),
            (-GAP, -GAP, End::Last),
            (GAP, GAP + SIZE * 0.8, End::First),
            (-GAP, GAP + SIZE * 0.8, End::Last),
        ];
        let tries = (spots.iter().enumerate())
            .flat_map(|(rank, spot)| sides.iter().map(move |side| (rank, *spot, *side)));
        for (rank, spot, (right, down, end)) in tries {
            let label = Label {
                text: text.into(),
                class,
                at: (spot.0 + right, spot.1 + down),
                end,
            };
            let Some(cost) = self.cost(&label.room()) else {
                continue;
            };
            let cost = cost + rank as f64;
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, label));
            }
            if cost < CLEAR {
                break;
            }
        }
        let (_, label) = best?;
        self.taken.push(label.room());
        Some(label)
    }

    /// What it costs to put a text there; `None` outside the plot.
    fn cost(&self, room: &Rect) -> Option<f64> {
        if !self.plot.holds(room) {
            return None;
        }
        let texts = self.taken.iter().filter(|taken| taken.overlaps(room));
        let crossed = (self.lines.iter())
            .filter(|(line, _)| crosses(line, room))
            .map(|(_, cost)| cost);
        Some(CLEAR * (100.0 * texts.count() as f64 + crossed.sum::<f64>()))
    }
}

/// Whether a line enters a rectangle.
pub(super) fn crosses(line: &[Point], room: &Rect) -> bool {
    (line.windows(2)).any(|pair| room.cut(pair[0], pair[1]).is_some())
}

/// Heights at which labels beside the plot stand, one for each height wanted, moved
/// apart as little as it takes and kept between `top` and `bottom` while there is room.
pub(super) fn apart(wanted: &[f64], top: f64, bottom: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let mut placed = wanted.to_vec();
    // Down from the top, then up from the bottom: only those too close move.
    let mut least = top;
    for at in &order {
        placed[*at] = placed[*at].max(least);
        least = placed[*at] + LINE;
    }
    let mut most = bottom;
    for at in order.iter().rev() {
        placed[*at] = placed[*at].min(most);
        most = placed[*at] - LINE;
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLOT: Rect = Rect {
        x0: 0.0,
        y0: 0.0,
        x1: 3000.0,
        y1: 2000.0,
    };

    #[test]
    fn labels_keep_clear_of_each_other_and_of_curves() {
        let lines = [(vec![(0.0, 1000.0), (3000.0, 1000.0)], 1.0)];
        let mut layout = Layout {
            plot: PLOT,
            lines: &lines,
            taken: Vec::new(),
        };
        let spots = [(1500.0, 1000.0), (800.0, 1000.0)];
        let labels: Vec<Label> = ["one", "two", "three", "four", "five"]
            .into_iter()
            .filter_map(|text| layout.place(text, "", &spots))
            .collect();
        assert_eq!(labels.len(), 5);
        for (at, label) in labels.iter().enumerate() {
            assert!(PLOT.holds(&label.room()));
            assert!(!crosses(&lines[0].0, &label.room()));
            for other in &labels[at + 1..] {
                assert!(!label.room().overlaps(&other.room()), "{label:?} {other:?}");
            }
        }
    }

    #[test]
    fn a_text_wider_than_the_plot_is_left_out() {
        let mut layout = Layout {
            plot: PLOT,
            lines: &[],
            taken: Vec::new(),
        };
        let text = "wide ".repeat(20);
        assert_eq!(layout.place(&text, "", &[(1500.0, 1000.0)]), None);
    }

    #[test]
    fn labels_beside_the_plot_move_apart_and_stay_in_order() {
        assert_eq!(apart(&[500.0, 100.0], 0.0, 1000.0), [500.0, 100.0]);
        let crowded = apart(&[990.0, 980.0, 900.0, 100.0], 0.0, 1000.0);
        assert_eq!(crowded, [1000.0, 860.0, 720.0, 100.0]);
        let at_the_top = apart(&[-50.0, 10.0], 0.0, 1000.0);
        assert_eq!(at_the_top, [0.0, 140.0]);
    }
}
