//! Where a figure's numbers come from: the pass, else the setup, else what is in stores, else the shot or the production,
//! else the usual value, which is then said to be usual and not the crew's own.

use crate::{
    journal::{
        record::{AnyEntry, Entry},
        value::Value,
    },
    plan::{
        Plan,
        cut::shot::Shot,
        setups::setup::{Pass, Setup},
        setups::standing::{Standing, standing},
        stores::{
            kit::{Drive, Filament},
            stage::{CameraMode, Lens},
        },
    },
};
use std::{
    cell::{Cell, OnceCell, RefCell},
    collections::HashMap,
};
use stillair_calc::fault::Fault;

/// Why a figure has no value.
#[derive(Clone, Debug, PartialEq)]
pub enum Gap {
    /// A blank that nobody has written yet: where it is, and its label.
    Missing {
        /// Element id of the blank.
        blank: String,
        /// What it is called.
        label: &'static str,
    },
    /// The numbers cannot stand together; a sentence says why.
    Impossible(String),
}

impl From<Vec<Fault>> for Gap {
    fn from(faults: Vec<Fault>) -> Self {
        Self::Impossible(
            faults
                .first()
                .map(|f| f.problem.clone())
                .unwrap_or_default(),
        )
    }
}

/// Something worked out once a pass, with what it rests on, so that whoever reads it later rests on the same.
#[derive(Debug)]
pub struct Kept<T>(OnceCell<(Result<T, Gap>, bool, bool)>);

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Self(OnceCell::new())
    }
}

/// The facts of one pass of a setup. Reading one notes whether it was usual or disputed, so that every figure can say so.
pub struct Facts<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The setup.
    pub setup: &'a Entry<Setup>,
    /// The pass, if one is chosen.
    pub pass: Option<&'a Entry<Pass>>,
    /// The pass's shot.
    pub shot: Option<&'a Entry<Shot>>,
    /// The lens in stores.
    pub lens: Option<&'a Entry<Lens>>,
    /// The camera's mode.
    pub mode: Option<&'a Entry<CameraMode>>,
    /// What stands in the setup, in the order of the number rings.
    pub things: Vec<Standing<'a>>,
    /// The line that it hangs on, in stores.
    pub filament: Option<&'a Entry<Filament>>,
    /// The drive in stores.
    pub drive: Option<&'a Entry<Drive>>,
    /// Lens and focus.
    pub optics: Kept<super::figures::lens::Optics>,
    /// Magnification, and focus from the pupil.
    pub focused: Kept<(f64, f64)>,
    /// Haze of the setup.
    pub extinction: Kept<f64>,
    found: RefCell<HashMap<&'static str, Found>>,
    usual: Cell<bool>,
    disputed: Cell<bool>,
}

/// A number that was looked for, and whether it was usual or disputed: a bench asks for the same few dozens a thousand times.
#[derive(Clone, Copy, Debug, Default)]
struct Found {
    number: Option<f64>,
    usual: bool,
    disputed: bool,
}

impl<'a> Facts<'a> {
    /// Gathers the facts of a pass (or of a setup without one).
    pub fn of(plan: &'a Plan, setup: &'a Entry<Setup>, pass: Option<&'a Entry<Pass>>) -> Self {
        Self {
            plan,
            setup,
            pass,
            shot: pass.and_then(|p| plan.shots.get(p.shot.as_ref()?)),
            lens: setup
                .lens
                .as_ref()
                .and_then(|id| plan.studio.lenses.get(id)),
            mode: setup
                .camera_mode
                .as_ref()
                .and_then(|id| plan.studio.camera_modes.get(id)),
            things: standing(plan, setup),
            filament: setup
                .filament
                .as_ref()
                .and_then(|id| plan.studio.filaments.get(id)),
            drive: setup
                .drive
                .as_ref()
                .and_then(|id| plan.studio.drives.get(id)),
            optics: Kept::default(),
            focused: Kept::default(),
            extinction: Kept::default(),
            found: RefCell::default(),
            usual: Cell::new(false),
            disputed: Cell::new(false),
        }
    }

    /// Works something out once; later readers get it with what it rests on.
    ///
    /// # Errors
    /// Its gap.
    pub fn once<T: Clone>(
        &self,
        kept: &Kept<T>,
        work: impl FnOnce(&Self) -> Result<T, Gap>,
    ) -> Result<T, Gap> {
        let (found, usual, disputed) = kept.0.get_or_init(|| {
            let before = (self.usual.replace(false), self.disputed.replace(false));
            let found = work(self);
            let rests_on = (
                self.usual.replace(before.0),
                self.disputed.replace(before.1),
            );
            (found, rests_on.0, rests_on.1)
        });
        self.usual.set(self.usual.get() || *usual);
        self.disputed.set(self.disputed.get() || *disputed);
        found.clone()
    }

    /// Forgets what was read so far.
    pub fn begin(&self) {
        self.usual.set(false);
        self.disputed.set(false);
    }

    /// Whether anything read since [`Self::begin`] was a usual value.
    pub fn rests_on_usual(&self) -> bool {
        self.usual.get()
    }

    /// Whether two hands wrote anything read since [`Self::begin`].
    pub fn is_disputed(&self) -> bool {
        self.disputed.get()
    }

    /// Records that may hold a fact of this name, the nearest first.
    fn holders(&self) -> [Option<&'a dyn AnyEntry>; 6] {
        [
            self.pass.map(|e| e as &dyn AnyEntry),
            Some(self.setup),
            self.mode.map(|e| e as &dyn AnyEntry),
            self.lens.map(|e| e as &dyn AnyEntry),
            self.shot.map(|e| e as &dyn AnyEntry),
            self.plan.production().map(|e| e as &dyn AnyEntry),
        ]
    }

    /// A number by its name, or the gap that its absence makes.
    ///
    /// # Errors
    /// [`Gap::Missing`] with the blank to fill.
    pub fn get(&self, name: &'static str) -> Result<f64, Gap> {
        self.find(name).ok_or_else(|| self.missing(name))
    }

    /// A number by its name; none when nobody wrote it and there is no usual one.
    pub fn find(&self, name: &'static str) -> Option<f64> {
        let known = self.found.borrow().get(name).copied();
        let found = known.unwrap_or_else(|| {
            let found = self.look(name);
            self.found.borrow_mut().insert(name, found);
            found
        });
        self.usual.set(self.usual.get() || found.usual);
        self.disputed.set(self.disputed.get() || found.disputed);
        found.number
    }

    fn look(&self, name: &'static str) -> Found {
        let own = if name == "transmission" {
            "lens_transmission"
        } else {
            name
        };
        let mut start = None;
        for entry in self.holders().into_iter().flatten() {
            let alias = if entry.kind().entity_type == "lens" && own == "lens_transmission" {
                "transmission"
            } else {
                own
            };
            let Some(index) = entry.kind().index(alias) else {
                continue;
            };
            if let Some(number) = entry.get(index).as_number() {
                return Found {
                    number: Some(number),
                    usual: false,
                    disputed: self.plan.besides_of(entry.id(), alias).next().is_some(),
                };
            }
            start = start.or(entry.kind().fields[index].blank.start);
        }
        if start.is_none() && name == "scale_denominator" {
            start = self
                .plan
                .production()
                .and_then(|p| p.usual_scale_denominator);
        }
        Found {
            number: start,
            usual: start.is_some(),
            disputed: false,
        }
    }

    /// A number of one record, which need not be of the pass: a lamp, a line, a thing on the table.
    ///
    /// # Errors
    /// [`Gap::Missing`] with its blank.
    pub fn number_of(&self, entry: &dyn AnyEntry, name: &str) -> Result<f64, Gap> {
        let Some(index) = entry.kind().index(name) else {
            return Err(self.missing(name));
        };
        let field = &entry.kind().fields[index];
        if let Some(n) = entry.get(index).as_number() {
            self.note_disputes(entry, name);
            return Ok(n);
        }
        field
            .blank
            .start
            .inspect(|_| self.usual.set(true))
            .ok_or(Gap::Missing {
                blank: format!("b-{}-{name}", entry.id()),
                label: field.label,
            })
    }

    /// What hangs or travels: the first model on the table, else the first piece that takes the path, else the first piece
    /// that stands on nothing.
    pub fn hung(&self) -> Option<&Standing<'a>> {
        let find = |is: &dyn Fn(&Standing<'a>) -> bool| self.things.iter().find(|t| is(t));
        find(&|t| t.is("model"))
            .or_else(|| find(&|t| &*t.entry.motion == "path"))
            .or_else(|| find(&|t| t.is("piece") && t.place().z_mm > 0.0))
    }

    /// Things of a kind.
    pub fn things_of(&self, kind: &'static str) -> impl Iterator<Item = &Standing<'a>> {
        self.things.iter().filter(move |t| t.is(kind))
    }

    /// A blank of the setup that has to be chosen before anything else can be worked out.
    pub fn choose(&self, name: &str) -> Gap {
        let label = self
            .setup
            .kind()
            .index(name)
            .map_or("", |i| self.setup.kind().fields[i].label);
        Gap::Missing {
            blank: format!("b-{}-{name}", self.setup.id),
            label,
        }
    }

    fn note_disputes(&self, entry: &dyn AnyEntry, name: &str) {
        if self.plan.besides_of(entry.id(), name).next().is_some() {
            self.disputed.set(true);
        }
    }

    /// What stands in while the setup's (or pass's) own blank is empty, as that blank would show it.
    pub fn stand_in(&self, of: &dyn AnyEntry, name: &str) -> Option<String> {
        let place = self
            .holders()
            .iter()
            .position(|e| e.is_some_and(|e| e.id() == of.id()))?;
        for entry in self.holders().into_iter().skip(place + 1).flatten() {
            let alias = if entry.kind().entity_type == "lens" && name == "lens_transmission" {
                "transmission"
            } else {
                name
            };
            let Some(index) = entry.kind().index(alias) else {
                continue;
            };
            let value = entry.get(index);
            if value != Value::Absent {
                return Some(crate::web::fields::shown(
                    self.plan,
                    &entry.kind().fields[index],
                    &value,
                ));
            }
        }
        None
    }

    /// The gap that an unwritten blank makes. It is filled on the setup, unless only the shot or the camera mode has it.
    pub fn missing(&self, name: &str) -> Gap {
        let holders = self.holders();
        let order = [
            holders[1], holders[0], holders[4], holders[2], holders[3], holders[5],
        ];
        for entry in order.into_iter().flatten() {
            if let Some(index) = entry.kind().index(name) {
                return Gap::Missing {
                    blank: format!("b-{}-{name}", entry.id()),
                    label: entry.kind().fields[index].label,
                };
            }
        }
        if name.starts_with("sensor_") {
            return Gap::Missing {
                blank: format!("b-{}-camera_mode", self.setup.id),
                label: "Camera",
            };
        }
        Gap::Missing {
            blank: format!("b-{}-code", self.setup.id),
            label: "A pass of this setup",
        }
    }

    /// Frames a second in the cut.
    pub fn base_fps(&self) -> f64 {
        self.plan.base_fps()
    }
}
