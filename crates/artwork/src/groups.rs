//! Things that are joined two by two, as groups.

/// Union-find, with the least of each group as its root.
#[derive(Debug, Clone)]
pub(crate) struct Groups(Vec<usize>);

impl Groups {
    pub(crate) fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    pub(crate) fn root(&mut self, mut i: usize) -> usize {
        while self.0[i] != i {
            self.0[i] = self.0[self.0[i]];
            i = self.0[i];
        }
        i
    }

    pub(crate) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}
