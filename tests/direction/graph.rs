//! What uses what, and whether that goes round in a circle.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// Modules, those that each of them uses, and the file that says so.
#[derive(Debug, Default)]
pub struct Graph(BTreeMap<String, BTreeMap<String, String>>);

impl Graph {
    /// Notes that a module uses another, as a file says. A module may use itself.
    pub fn add(&mut self, user: &str, used: &str, file: &str) {
        if user != used {
            let uses = self.0.entry(user.into()).or_default();
            uses.entry(used.into()).or_insert_with(|| file.into());
        }
    }

    /// How many pairs of modules there are of which one uses the other.
    pub fn edges(&self) -> usize {
        self.0.values().map(BTreeMap::len).sum()
    }

    /// A shortest circle, in words; `None` when there is none.
    pub fn circle(&self) -> Option<String> {
        let circles = self.0.keys().filter_map(|start| self.way_back(start));
        let shortest = circles.min_by_key(Vec::len)?;
        let steps = shortest.windows(2).map(|step| {
            let file = &self.0[&step[0]][&step[1]];
            format!("{} uses {} ({file})", step[0], step[1])
        });
        Some(steps.collect::<Vec<_>>().join(", "))
    }

    /// A shortest way from a module back to itself, with it at both ends.
    fn way_back(&self, start: &str) -> Option<Vec<String>> {
        let mut seen = BTreeSet::new();
        let mut ways = VecDeque::from([vec![start.to_owned()]]);
        while let Some(way) = ways.pop_front() {
            let uses = way.last().and_then(|last| self.0.get(last));
            for used in uses.into_iter().flat_map(BTreeMap::keys) {
                let longer = [way.as_slice(), std::slice::from_ref(used)].concat();
                if used == start {
                    return Some(longer);
                }
                if seen.insert(used) {
                    ways.push_back(longer);
                }
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn graph(uses: &[(&str, &str)]) -> Graph {
        let mut graph = Graph::default();
        for (user, used) in uses {
            graph.add(user, used, &format!("{user}.rs"));
        }
        graph
    }

    #[test]
    fn a_circle_is_found_and_named() {
        let knot = graph(&[
            ("start", "app"),
            ("app", "desk"),
            ("desk", "view"),
            ("view", "number"),
            ("view", "app"),
        ]);
        assert_eq!(
            knot.circle().as_deref(),
            Some("app uses desk (app.rs), desk uses view (desk.rs), view uses app (view.rs)")
        );
        assert_eq!(knot.edges(), 5);
    }

    #[test]
    fn two_ways_to_one_module_are_no_circle() {
        let diamond = graph(&[("a", "b"), ("a", "c"), ("b", "d"), ("c", "d"), ("d", "d")]);
        assert_eq!(diamond.circle(), None);
    }
}
