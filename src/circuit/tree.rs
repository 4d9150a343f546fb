//! The circuit as a tree seen from the module: how far away every point is, and what hangs below what.
//!
//! The feed side starts at the feed pins and ends at the loads; the return side starts at the return pins, then at
//! ground points, and ends at the loads too. Both walk wires, connector pins and fuses breadth-first, so where there is a
//! loop the path over the fewest parts wins and the link that closes it is listed apart.

use std::collections::{BTreeSet, HashMap, HashSet};

use super::{Circuit, Links, Point, Terminal};

/// Which side of the loads is walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// From the feed pins to the loads.
    Feed,
    /// From the return pins and ground points to the loads.
    Return,
}

/// A point that was reached.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The point.
    pub point: Point,
    /// Metres of wire from the module, or from the ground point where the walk began there.
    pub metres: f64,
    /// How it was reached; `None` where the walk began.
    pub via: Option<Via>,
}

/// The last step to a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Via {
    /// Index of the place before; always smaller than the place's own.
    pub parent: usize,
    /// Designation of the wire, connector or fuse that leads here.
    pub part: String,
    /// Pin of the connector.
    pub pin: Option<u8>,
    /// Whether it was walked against its drawn direction.
    pub reversed: bool,
}

/// A sensor or ground point that hangs at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hanging {
    /// Its designation.
    pub part: String,
    /// Index of the place.
    pub place: usize,
}

/// A link between two places that were reached without it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Closing {
    /// Designation of the wire, connector or fuse.
    pub part: String,
    /// Pin of the connector.
    pub pin: Option<u8>,
    /// Index of the place at its drawn beginning.
    pub from: usize,
    /// Index of the place at its drawn end.
    pub to: usize,
}

/// One side of a circuit as a tree.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedTree {
    /// Places in the order in which they were reached: parents before children.
    pub places: Vec<Place>,
    /// Sensors (by their feed end on the feed side, their return end on the return side) and ground points; not those
    /// whose end is the chassis itself.
    pub hanging: Vec<Hanging>,
    /// Links that close loops.
    pub closing: Vec<Closing>,
    at: HashMap<Point, usize>,
}

impl FeedTree {
    /// Walks one side with everything plugged.
    ///
    /// ```
    /// use pinchpoint::{circuit::{quick_feed, tree::{FeedTree, Side}}, quantity::units::volts};
    /// let circuit = quick_feed(volts(5.0), 4, true, false);
    /// let tree = FeedTree::walk(&circuit, Side::Feed);
    /// let splice = tree.place(&"SP1".parse().unwrap()).unwrap();
    /// assert!((splice.metres - 2.0).abs() < 1e-12);
    /// assert!(tree.downstream("C1").contains("S3"));
    /// ```
    pub fn walk(circuit: &Circuit, side: Side) -> Self {
        Self::walk_unplugged(circuit, side, &BTreeSet::new())
    }

    /// Walks one side, stopping at connectors that are unplugged. Cost: linear in the parts.
    pub fn walk_unplugged(circuit: &Circuit, side: Side, unplugged: &BTreeSet<String>) -> Self {
        let links = Links::of(circuit);
        let mut tree = walk_feed(circuit, &links, unplugged);
        if side == Side::Return {
            // What the feed reaches with everything plugged is no return, even where somebody grounded it.
            let feed = walk_feed(circuit, &links, &BTreeSet::new());
            tree = walk_return(circuit, &links, unplugged, feed.at.into_keys().collect());
        }
        tree.list_hanging(circuit, side);
        tree.list_closing(&links, unplugged);
        tree
    }

    /// Index of the place at a point.
    pub fn index_of(&self, point: &Point) -> Option<usize> {
        self.at.get(point).copied()
    }

    /// The place at a point.
    pub fn place(&self, point: &Point) -> Option<&Place> {
        self.index_of(point).map(|index| &self.places[index])
    }

    /// Indices of the places from where the walk began to a place, both included.
    ///
    /// # Panics
    /// Where the index is not one of [`FeedTree::places`].
    pub fn path(&self, to: usize) -> Vec<usize> {
        let mut path: Vec<usize> = std::iter::successors(Some(to), |at| {
            self.places[*at].via.as_ref().map(|via| via.parent)
        })
        .collect();
        path.reverse();
        path
    }

    /// Parts that are fed through a part (a connector, wire or fuse) by the path that won; itself left out.
    /// Around a loop they may be fed another way too: [`cut_off`] tells.
    pub fn downstream(&self, through: &str) -> BTreeSet<&str> {
        let mut below = vec![false; self.places.len()];
        let mut parts = BTreeSet::new();
        for (index, place) in self.places.iter().enumerate() {
            let Some(via) = &place.via else { continue };
            if below[via.parent] {
                parts.insert(via.part.as_str());
            }
            below[index] = below[via.parent] || via.part == through;
            if below[index] && !place.point.is_battery_negative() {
                parts.insert(place.point.part.as_str());
            }
        }
        parts.extend(
            self.hanging
                .iter()
                .filter(|end| below[end.place])
                .map(|end| end.part.as_str()),
        );
        parts.remove(through);
        parts
    }

    /// Every part that was reached.
    pub fn parts(&self) -> BTreeSet<&str> {
        let through = self
            .places
            .iter()
            .filter_map(|place| place.via.as_ref())
            .map(|via| via.part.as_str());
        let points = self
            .places
            .iter()
            .filter(|place| !place.point.is_battery_negative())
            .map(|place| place.point.part.as_str());
        through
            .chain(points)
            .chain(self.hanging.iter().map(|end| end.part.as_str()))
            .chain(self.closing.iter().map(|link| link.part.as_str()))
            .collect()
    }

    fn list_hanging(&mut self, circuit: &Circuit, side: Side) {
        let loads = circuit.loads.iter().map(|load| {
            let end = if side == Side::Feed {
                &load.feed
            } else {
                &load.ret
            };
            (&load.id, end)
        });
        let grounds = circuit
            .grounds
            .iter()
            .map(|ground| (&ground.id, &ground.at));
        self.hanging = loads
            .chain(grounds)
            .filter(|(_, point)| !point.is_battery_negative())
            .filter_map(|(id, point)| {
                Some(Hanging {
                    part: id.clone(),
                    place: self.index_of(point)?,
                })
            })
            .collect();
    }

    fn list_closing(&mut self, links: &Links<'_>, unplugged: &BTreeSet<String>) {
        let used: HashSet<(&str, Option<u8>)> = self
            .places
            .iter()
            .filter_map(|place| place.via.as_ref())
            .map(|via| (via.part.as_str(), via.pin))
            .collect();
        let closing = links
            .all
            .iter()
            .filter(|link| !used.contains(&(link.part, link.pin)))
            .filter(|link| link.pin.is_none() || !unplugged.contains(link.part))
            .filter_map(|link| {
                Some(Closing {
                    part: link.part.to_owned(),
                    pin: link.pin,
                    from: self.index_of(&link.a)?,
                    to: self.index_of(&link.b)?,
                })
            })
            .collect();
        self.closing = closing;
    }
}

/// Parts that the feed reaches with everything plugged and not with these connectors unplugged; the connectors
/// themselves are left out. Right around loops too.
pub fn cut_off(circuit: &Circuit, unplugged: &BTreeSet<String>) -> BTreeSet<String> {
    let whole = FeedTree::walk(circuit, Side::Feed);
    let parted = FeedTree::walk_unplugged(circuit, Side::Feed, unplugged);
    let still = parted.parts();
    whole
        .parts()
        .into_iter()
        .filter(|part| !still.contains(part) && !unplugged.contains(*part))
        .map(str::to_owned)
        .collect()
}

/// Points that the feed reaches with everything plugged and not with these connectors unplugged. Points that it never
/// reaches (returns, strays) are not listed.
pub fn cut_off_points(circuit: &Circuit, unplugged: &BTreeSet<String>) -> BTreeSet<Point> {
    if unplugged.is_empty() {
        return BTreeSet::new();
    }
    let reached = |tree: FeedTree| -> BTreeSet<Point> {
        let points = tree.places.into_iter().map(|place| place.point);
        points
            .filter(|point| !point.is_battery_negative())
            .collect()
    };
    let whole = reached(FeedTree::walk(circuit, Side::Feed));
    let still = reached(FeedTree::walk_unplugged(circuit, Side::Feed, unplugged));
    whole.difference(&still).cloned().collect()
}

fn walk_feed(circuit: &Circuit, links: &Links<'_>, unplugged: &BTreeSet<String>) -> FeedTree {
    let returns = circuit
        .supplies
        .iter()
        .map(|supply| Point::new(&supply.id, Terminal::Return));
    let mut walk = Walk {
        links,
        unplugged,
        blocked: returns.collect(),
        tree: FeedTree::default(),
    };
    for supply in &circuit.supplies {
        for n in 1..=supply.feed_pins {
            walk.start(Point::new(&supply.id, Terminal::Feed(n)));
        }
    }
    walk.run(0);
    walk.tree
}

fn walk_return(
    circuit: &Circuit,
    links: &Links<'_>,
    unplugged: &BTreeSet<String>,
    blocked: HashSet<Point>,
) -> FeedTree {
    let mut walk = Walk {
        links,
        unplugged,
        blocked,
        tree: FeedTree::default(),
    };
    for supply in &circuit.supplies {
        walk.start(Point::new(&supply.id, Terminal::Return));
    }
    walk.run(0);
    // Ground points that lead to no module come last, each a beginning of its own.
    for ground in circuit
        .grounds
        .iter()
        .filter(|ground| !ground.at.is_battery_negative())
    {
        let first = walk.tree.places.len();
        walk.start(ground.at.clone());
        walk.run(first);
    }
    walk.tree
}

struct Walk<'w> {
    links: &'w Links<'w>,
    unplugged: &'w BTreeSet<String>,
    /// Points of the other side.
    blocked: HashSet<Point>,
    tree: FeedTree,
}

impl Walk<'_> {
    fn start(&mut self, point: Point) {
        self.reach(Place {
            point,
            metres: 0.0,
            via: None,
        });
    }

    fn reach(&mut self, place: Place) {
        if !self.tree.at.contains_key(&place.point) && !self.blocked.contains(&place.point) {
            self.tree
                .at
                .insert(place.point.clone(), self.tree.places.len());
            self.tree.places.push(place);
        }
    }

    /// Walks on from every place from `next` on; the list of places is the queue.
    fn run(&mut self, mut next: usize) {
        while let Some(here) = self.tree.places.get(next).cloned() {
            // All grounds meet at the battery negative: walking on from there would join what is apart.
            let steps = if here.point.is_battery_negative() {
                &[]
            } else {
                self.links.at(&here.point)
            };
            for &link in steps {
                let step = &self.links.all[link];
                if step.pin.is_some() && self.unplugged.contains(step.part) {
                    continue;
                }
                self.reach(Place {
                    point: self.links.across(link, &here.point).clone(),
                    metres: here.metres + step.metres,
                    via: Some(Via {
                        parent: next,
                        part: step.part.to_owned(),
                        pin: step.pin,
                        reversed: step.a != here.point,
                    }),
                });
            }
            next += 1;
        }
    }
}
