//! Things that pairs join into groups: leads on one winding, windings in series.

/// Groups of things numbered from 0. Each thing starts in a group of its own.
///
/// Joining takes as long as there are things; there are a few dozen at most.
#[derive(Debug, Clone)]
pub(super) struct Groups {
    /// For each thing the smallest number in its group.
    first: Vec<usize>,
}

impl Groups {
    /// So many things, none of them joined.
    pub fn new(count: usize) -> Self {
        Self {
            first: (0..count).collect(),
        }
    }

    /// Joins the groups of two things; whether they were apart before.
    pub fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.first[a], self.first[b]);
        for first in &mut self.first {
            if *first == a.max(b) {
                *first = a.min(b);
            }
        }
        a != b
    }

    /// The smallest number in the group of a thing.
    pub fn first(&self, thing: usize) -> usize {
        self.first[thing]
    }

    /// All groups, in the order of their smallest numbers.
    pub fn lists(&self) -> Vec<Vec<usize>> {
        let members = |group: usize| -> Vec<usize> {
            (0..self.first.len())
                .filter(|thing| self.first[*thing] == group)
                .collect()
        };
        (0..self.first.len())
            .map(members)
            .filter(|members| !members.is_empty())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_join_what_they_touch() {
        let mut groups = Groups::new(6);
        assert!(groups.join(4, 1) && groups.join(5, 4) && groups.join(2, 3));
        assert!(!groups.join(1, 5));
        assert_eq!(groups.lists(), [vec![0], vec![1, 4, 5], vec![2, 3]]);
        assert_eq!(groups.first(5), 1);
    }
}
