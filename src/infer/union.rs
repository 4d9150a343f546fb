//! Union–find: which of numbered things have been joined.

/// Sets of numbered things, each named by its smallest member.
#[derive(Clone, Debug)]
pub struct Union {
    parent: Vec<usize>,
}

impl Union {
    /// So many things, each by itself.
    pub fn new(things: usize) -> Self {
        Self {
            parent: (0..things).collect(),
        }
    }

    /// The set that a thing is in.
    pub fn root(&mut self, mut thing: usize) -> usize {
        while self.parent[thing] != thing {
            self.parent[thing] = self.parent[self.parent[thing]];
            thing = self.parent[thing];
        }
        thing
    }

    /// Makes one set of the sets of two things.
    pub fn join(&mut self, one: usize, other: usize) {
        let (a, b) = (self.root(one), self.root(other));
        self.parent[a.max(b)] = a.min(b);
    }

    /// The set of every thing.
    pub fn roots(mut self) -> Vec<usize> {
        (0..self.parent.len())
            .map(|thing| self.root(thing))
            .collect()
    }
}
