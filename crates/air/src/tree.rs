//! Which part feeds which: names resolved, loops and loose ends found, the shape taken apart.

use crate::network::NetworkError;
use crate::part::{Part, PartKind};
use language::say;
use std::collections::{HashMap, HashSet};

/// The shape of a network; numbers are places in the list of parts.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tree {
    /// Each compressor with the parts between it and the first receiver.
    pub(crate) sources: Vec<Source>,
    /// One or two, in the air's order.
    pub(crate) receivers: Vec<usize>,
    /// Parts between two receivers.
    pub(crate) link: Vec<usize>,
    /// Everything behind the last receiver.
    pub(crate) outlet: Twig,
}

/// A compressor's way to the first receiver.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Source {
    pub(crate) machine: usize,
    pub(crate) path: Vec<usize>,
}

/// Parts in a row and what they end in.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Twig {
    pub(crate) parts: Vec<usize>,
    pub(crate) end: TwigEnd,
}

/// What a row of parts ends in.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum TwigEnd {
    /// A regulator, the parts behind it, and the nozzle or gun.
    Station { regulator: usize, after: Vec<usize>, tip: usize },
    /// Several rows.
    Split(Vec<Twig>),
}

/// Most stations.
pub(crate) const STATIONS_MAX: usize = 60;

impl Tree {
    pub(crate) fn of(parts: &[Part]) -> Result<Self, NetworkError> {
        let walker = Walker::of(parts)?;
        walker.check_loops()?;
        walker.check_ends()?;
        walker.check_feeders()?;
        let sources = walker.sources()?;
        let first = walker.first_receiver(&sources)?;
        let (receivers, link) = walker.receivers(first)?;
        let outlet = walker.below(receivers[receivers.len() - 1])?;
        let stations = parts.iter().filter(|part| is_tip(part)).count();
        if stations > STATIONS_MAX {
            return Err(NetworkError::TooManyStations { given: stations, most: STATIONS_MAX });
        }
        Ok(Self { sources: sources.into_iter().map(|(source, _)| source).collect(), receivers, link, outlet })
    }
}

fn is_tip(part: &Part) -> bool {
    matches!(part.kind, PartKind::Nozzle(_) | PartKind::Gun(_))
}

fn is_receiver(part: &Part) -> bool {
    matches!(part.kind, PartKind::Receiver(_))
}

fn is_compressor(part: &Part) -> bool {
    matches!(part.kind, PartKind::Compressor(_))
}

struct Walker<'a> {
    parts: &'a [Part],
    feeds: Vec<Vec<usize>>,
    feeders: Vec<Vec<usize>>,
}

impl<'a> Walker<'a> {
    fn of(parts: &'a [Part]) -> Result<Self, NetworkError> {
        let mut places = HashMap::new();
        for (place, part) in parts.iter().enumerate() {
            if part.name.trim().is_empty() {
                return Err(NetworkError::NoName { number: place + 1 });
            }
            if places.insert(part.name.as_str(), place).is_some() {
                return Err(NetworkError::SameName { name: part.name.clone() });
            }
        }
        let mut feeds = vec![Vec::new(); parts.len()];
        let mut feeders = vec![Vec::new(); parts.len()];
        for (place, part) in parts.iter().enumerate() {
            for name in &part.feeds {
                let Some(&to) = places.get(name.as_str()) else {
                    let known = parts.iter().map(|part| part.name.as_str()).collect::<Vec<_>>().join(", ");
                    return Err(NetworkError::UnknownFeed { part: part.name.clone(), feeds: name.clone(), known });
                };
                feeds[place].push(to);
                feeders[to].push(place);
            }
        }
        Ok(Self { parts, feeds, feeders })
    }

    fn name(&self, place: usize) -> String {
        self.parts[place].name.clone()
    }

    fn word(&self, place: usize) -> &'static str {
        self.parts[place].kind.word()
    }

    /// Every part but a compressor is fed; every part but a nozzle feeds.
    fn check_ends(&self) -> Result<(), NetworkError> {
        if !self.parts.iter().any(is_compressor) {
            return Err(NetworkError::NoCompressor);
        }
        for (place, part) in self.parts.iter().enumerate() {
            let name = part.name.clone();
            if is_tip(part) && !part.feeds.is_empty() {
                return Err(NetworkError::NozzleFeeds { part: name });
            }
            if is_compressor(part) {
                if !self.feeders[place].is_empty() {
                    return Err(
                        self.out_of_place(place, say!(in "where a part does not belong", "behind another part"))
                    );
                }
            } else if self.feeders[place].is_empty() {
                return Err(NetworkError::Orphan { part: name, word: part.kind.word() });
            }
            if !is_tip(part) && part.feeds.is_empty() {
                return Err(NetworkError::NoNozzle { part: name, word: part.kind.word() });
            }
        }
        Ok(())
    }

    /// Takes away parts that nothing left feeds; what remains is a loop or behind one.
    fn check_loops(&self) -> Result<(), NetworkError> {
        let mut left: HashSet<usize> = (0..self.parts.len()).collect();
        loop {
            let free: Vec<usize> = left
                .iter()
                .copied()
                .filter(|&place| self.feeders[place].iter().all(|from| !left.contains(from)))
                .collect();
            if free.is_empty() {
                break;
            }
            free.iter().for_each(|place| {
                left.remove(place);
            });
        }
        let Some(&start) = left.iter().min() else { return Ok(()) };
        Err(NetworkError::Loop { through: self.around(start, &left) })
    }

    /// Names around a loop, by walking back among the parts that are left until one is met again.
    fn around(&self, start: usize, left: &HashSet<usize>) -> String {
        let mut way = vec![start];
        loop {
            let here = way[way.len() - 1];
            let Some(&back) = self.feeders[here].iter().find(|from| left.contains(from)) else { break };
            if let Some(met) = way.iter().position(|&place| place == back) {
                way.drain(..met);
                break;
            }
            way.push(back);
        }
        let first = way.iter().min().copied().unwrap_or(start);
        let at = way.iter().position(|&place| place == first).unwrap_or(0);
        way.rotate_left(at);
        way[1..].reverse();
        way.push(first);
        way.iter().map(|&place| format!("\"{}\"", self.parts[place].name)).collect::<Vec<_>>().join(" > ")
    }

    /// Several feeds only where all of them come straight from compressors.
    fn check_feeders(&self) -> Result<(), NetworkError> {
        for (place, feeders) in self.feeders.iter().enumerate() {
            let [first, second, ..] = feeders[..] else { continue };
            if feeders.iter().any(|&from| self.is_behind_a_receiver(from)) {
                let (first, second) = (self.name(first), self.name(second));
                return Err(NetworkError::TwoFeeds { part: self.name(place), first, second });
            }
        }
        Ok(())
    }

    fn is_behind_a_receiver(&self, place: usize) -> bool {
        is_receiver(&self.parts[place]) || self.feeders[place].iter().any(|&from| self.is_behind_a_receiver(from))
    }

    fn out_of_place(&self, place: usize, at: &'static str) -> NetworkError {
        NetworkError::OutOfPlace { part: self.name(place), word: self.word(place), place: at }
    }

    fn only_feed(&self, place: usize) -> Result<usize, NetworkError> {
        match self.feeds[place][..] {
            [next] => Ok(next),
            _ => Err(NetworkError::SplitTooEarly { part: self.name(place), word: self.word(place) }),
        }
    }

    /// Each compressor's way to a receiver, with that receiver.
    fn sources(&self) -> Result<Vec<(Source, usize)>, NetworkError> {
        let machines = (0..self.parts.len()).filter(|&place| is_compressor(&self.parts[place]));
        machines
            .map(|machine| {
                let mut path = Vec::new();
                let mut here = self.only_feed(machine)?;
                while !is_receiver(&self.parts[here]) {
                    if is_tip(&self.parts[here]) {
                        return Err(NetworkError::NoReceiver { part: self.name(machine) });
                    }
                    if matches!(self.parts[here].kind, PartKind::Regulator(_) | PartKind::Pot(_) | PartKind::Valve(_)) {
                        return Err(
                            self.out_of_place(here, say!(in "where a part does not belong", "before the receiver"))
                        );
                    }
                    path.push(here);
                    here = self.only_feed(here)?;
                }
                Ok((Source { machine, path }, here))
            })
            .collect()
    }

    fn first_receiver(&self, sources: &[(Source, usize)]) -> Result<usize, NetworkError> {
        let first = sources[0].1;
        match sources.iter().find(|(_, receiver)| *receiver != first) {
            Some((_, other)) => Err(NetworkError::TwoSupplies { part: self.name(*other), other: self.name(first) }),
            None => Ok(first),
        }
    }

    /// One or two receivers, and the parts between.
    fn receivers(&self, first: usize) -> Result<(Vec<usize>, Vec<usize>), NetworkError> {
        let mut link: Vec<usize> = Vec::new();
        let mut here = first;
        while let [next] = self.feeds[here][..] {
            if is_receiver(&self.parts[next]) {
                for &place in &link {
                    if matches!(self.parts[place].kind, PartKind::Regulator(_) | PartKind::Pot(_) | PartKind::Valve(_))
                    {
                        return Err(
                            self.out_of_place(place, say!(in "where a part does not belong", "between two receivers"))
                        );
                    }
                }
                return Ok((vec![first, next], link));
            }
            link.push(next);
            here = next;
        }
        Ok((vec![first], Vec::new()))
    }

    /// Everything behind a part.
    fn below(&self, place: usize) -> Result<Twig, NetworkError> {
        let mut rows = self.rows(place)?;
        Ok(match rows.pop() {
            Some(only) if rows.is_empty() => only,
            last => {
                rows.extend(last);
                Twig { parts: Vec::new(), end: TwigEnd::Split(rows) }
            }
        })
    }

    fn rows(&self, place: usize) -> Result<Vec<Twig>, NetworkError> {
        self.feeds[place].iter().map(|&next| self.row(next)).collect()
    }

    /// A row of parts from one on.
    fn row(&self, from: usize) -> Result<Twig, NetworkError> {
        let (mut parts, mut here) = (Vec::new(), from);
        loop {
            match &self.parts[here].kind {
                PartKind::Regulator(_) => return self.station(parts, here),
                PartKind::Receiver(_) => return Err(NetworkError::ReceiverOutOfPlace { part: self.name(here) }),
                PartKind::Nozzle(_) | PartKind::Gun(_) => {
                    return Err(NetworkError::NoRegulator { station: self.name(here) });
                }
                PartKind::Aftercooler(_) => {
                    return Err(self.out_of_place(here, say!(in "where a part does not belong", "behind the receiver")));
                }
                PartKind::Pot(_) => {
                    return Err(
                        self.out_of_place(here, say!(in "where a part does not belong", "before the regulator"))
                    );
                }
                _ => parts.push(here),
            }
            match self.feeds[here][..] {
                [next] => here = next,
                _ => return Ok(Twig { parts, end: TwigEnd::Split(self.rows(here)?) }),
            }
        }
    }

    /// A regulator and what is behind it, to the nozzle.
    fn station(&self, parts: Vec<usize>, regulator: usize) -> Result<Twig, NetworkError> {
        let (mut after, mut here) = (Vec::new(), regulator);
        loop {
            let [next] = self.feeds[here][..] else {
                let part = self.name(regulator);
                return Err(NetworkError::RegulatorShared { part, fault: say!("several stations hang on it") });
            };
            here = next;
            match &self.parts[here].kind {
                PartKind::Nozzle(_) | PartKind::Gun(_) => break,
                PartKind::Regulator(_) => {
                    let part = self.name(here);
                    return Err(NetworkError::RegulatorShared { part, fault: say!("it is the second on the way") });
                }
                PartKind::Receiver(_) => return Err(NetworkError::ReceiverOutOfPlace { part: self.name(here) }),
                PartKind::Aftercooler(_) => {
                    return Err(
                        self.out_of_place(here, say!(in "where a part does not belong", "behind the regulator"))
                    );
                }
                _ => after.push(here),
            }
        }
        let gun = matches!(self.parts[here].kind, PartKind::Gun(_));
        if let (true, Some(&pot)) =
            (gun, after.iter().find(|&&place| matches!(self.parts[place].kind, PartKind::Pot(_))))
        {
            return Err(self
                .out_of_place(pot, say!(in "where a part does not belong", "before a gun, which sucks its abrasive")));
        }
        Ok(Twig { parts, end: TwigEnd::Station { regulator, after, tip: here } })
    }
}
