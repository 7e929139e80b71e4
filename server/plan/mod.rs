//! What the crew works with: one production as a plain immutable value at one journal number.
//!
//! Pages, drawings, findings, paper and exports are functions of a [`Plan`]; none of them asks the database. A committed
//! change makes the next `Plan`; lists and records are shared, so that costs a few pointers.

pub mod book;
pub mod cut;
pub mod days;
pub mod findings;
pub mod handover;
pub mod haze;
pub mod history;
pub mod paper;
pub mod pictures;
pub mod power;
pub mod production;
pub mod remarks;
pub mod setups;
pub mod stores;
pub mod two_hands;
pub mod undo;

use crate::journal::{
    record::{AnyEntry, AnyList, Entry, List, Record, RecordKind},
    value::{Id, Value},
};
use cut::shot::{Scene, Shot, Sighting};
use days::day::{CrewCall, Day, DaySetup};
use findings::let_pass::LetPass;
use haze::reading::Reading;
use production::Production;
use remarks::remark::Remark;
use setups::{
    placement::Placement,
    setup::{Pass, Setup},
};
use std::sync::Arc;
use stores::{
    kit::{Circuit, Drive, Filament, Lamp, Projector},
    stage::{Camera, CameraMode, Lens, Piece, Stage},
};

/// A value that another hand wrote into the same blank, open until somebody settles it.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Journal number of that write.
    pub seq: i64,
    /// The thing.
    pub entity: Id,
    /// The blank; empty for a removal kept beside, or an edit kept beside a removal.
    pub field: Arc<str>,
    /// What was written, as JSON.
    pub value: serde_json::Value,
    /// Who wrote it.
    pub actor: Arc<str>,
    /// When the server got it.
    pub at_ms: i64,
}

/// Who made the newest change, and when.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LastChange {
    /// Person id, or the program's own word.
    pub actor: Arc<str>,
    /// When the server got it.
    pub at_ms: i64,
}

/// Lists of records that belong together: a plan's own, or the studio's.
pub trait Scope: Send + Sync {
    /// A list by its entity type.
    fn list(&self, entity_type: &str) -> Option<&dyn AnyList>;
    /// The same, to change it.
    fn list_mut(&mut self, entity_type: &str) -> Option<&mut dyn AnyList>;
    /// All lists.
    fn lists(&self) -> Vec<&dyn AnyList>;
    /// Values kept beside.
    fn besides_mut(&mut self) -> &mut Arc<Vec<Arc<Beside>>>;
    /// The thing with this id, whatever it is.
    fn find(&self, id: &str) -> Option<&dyn AnyEntry> {
        self.lists().into_iter().find_map(|list| list.find(id))
    }
}

macro_rules! scope {
    ($(#[doc = $doc:literal])+ $name:ident { $(own { $(#[doc = $own_doc:literal])+ $own:ident : $own_ty:ty })* $($(#[doc = $list_doc:literal])+ $list:ident : $record:ident,)+ }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name {
            $($(#[doc = $own_doc])+ pub $own: $own_ty,)*
            $($(#[doc = $list_doc])+ pub $list: List<$record>,)+
            /// Values kept beside, open ones only, by journal number.
            pub besides: Arc<Vec<Arc<Beside>>>,
            /// Newest journal number that touched it.
            pub seq: i64,
            /// Who made that change.
            pub last: LastChange,
        }
        impl $name {
            /// The kinds of record it holds.
            pub const KINDS: &'static [&'static RecordKind] = &[$(<$record as Record>::KIND),+];
        }
        impl Scope for $name {
            fn list(&self, entity_type: &str) -> Option<&dyn AnyList> {
                $( if entity_type == <$record as Record>::KIND.entity_type { return Some(&self.$list); } )+
                None
            }
            fn list_mut(&mut self, entity_type: &str) -> Option<&mut dyn AnyList> {
                $( if entity_type == <$record as Record>::KIND.entity_type { return Some(&mut self.$list); } )+
                None
            }
            fn lists(&self) -> Vec<&dyn AnyList> {
                vec![$( &self.$list as &dyn AnyList ),+]
            }
            fn besides_mut(&mut self) -> &mut Arc<Vec<Arc<Beside>>> {
                &mut self.besides
            }
        }
    };
}

scope! {
    /// What all plans of the studio share.
    Studio {
        /// Stages.
        stages: Stage,
        /// Cameras.
        cameras: Camera,
        /// Their modes.
        camera_modes: CameraMode,
        /// Lenses.
        lenses: Lens,
        /// Models, set pieces, tiles.
        pieces: Piece,
        /// Lamps.
        lamps: Lamp,
        /// Circuits.
        circuits: Circuit,
        /// Projectors.
        projectors: Projector,
        /// Drives.
        drives: Drive,
        /// Lines to hang on.
        filaments: Filament,
    }
}

scope! {
    /// One production at one journal number.
    Plan {
        own {
            /// Its id.
            id: Id
        }
        own {
            /// The store's epoch: another one means numbers may repeat.
            epoch: Arc<str>
        }
        own {
            /// The number it is shown at when it is read as it once stood; none for the plan as it stands.
            moment: Option<i64>
        }
        own {
            /// What it shares with the studio's other plans.
            studio: Arc<Studio>
        }
        /// The production itself: a list of one.
        productions: Production,
        /// Scenes.
        scenes: Scene,
        /// Shots.
        shots: Shot,
        /// Pieces seen in shots.
        sightings: Sighting,
        /// Setups.
        setups: Setup,
        /// Passes.
        passes: Pass,
        /// Things on the table.
        placements: Placement,
        /// Findings let pass.
        let_pass: LetPass,
        /// Stage days.
        days: Day,
        /// Setups on days.
        day_setups: DaySetup,
        /// Calls.
        crew_calls: CrewCall,
        /// Remarks.
        remarks: Remark,
        /// Readings of the air.
        readings: Reading,
    }
}

impl Studio {
    /// Nothing in it.
    pub fn empty() -> Self {
        Self {
            stages: List::default(),
            cameras: List::default(),
            camera_modes: List::default(),
            lenses: List::default(),
            pieces: List::default(),
            lamps: List::default(),
            circuits: List::default(),
            projectors: List::default(),
            drives: List::default(),
            filaments: List::default(),
            besides: Arc::default(),
            seq: 0,
            last: LastChange::default(),
        }
    }
}

/// Anything that lists itself by an order key.
fn in_order<'a, R: Record>(
    entries: impl Iterator<Item = &'a Entry<R>>,
    key: impl Fn(&'a Entry<R>) -> &'a str,
) -> Vec<&'a Entry<R>> {
    let mut list: Vec<_> = entries.collect();
    list.sort_by(|a, b| key(a).cmp(key(b)).then_with(|| a.id.cmp(&b.id)));
    list
}

impl Plan {
    /// Nothing in it yet.
    pub fn empty(id: Id, epoch: Arc<str>, studio: Arc<Studio>) -> Self {
        Self {
            id,
            epoch,
            moment: None,
            studio,
            productions: List::default(),
            scenes: List::default(),
            shots: List::default(),
            sightings: List::default(),
            setups: List::default(),
            passes: List::default(),
            placements: List::default(),
            let_pass: List::default(),
            days: List::default(),
            day_setups: List::default(),
            crew_calls: List::default(),
            remarks: List::default(),
            readings: List::default(),
            besides: Arc::default(),
            seq: 0,
            last: LastChange::default(),
        }
    }

    /// Where its pages stand, in the moment that is shown.
    pub fn path(&self) -> String {
        match self.moment {
            Some(seq) => format!("/plans/{}@{seq}", self.id),
            None => format!("/plans/{}", self.id),
        }
    }

    /// The number a page shows: the newest change of the plan or of what it shares.
    pub fn number(&self) -> i64 {
        self.seq.max(self.studio.seq)
    }

    /// Who made the newest change.
    pub fn newest(&self) -> &LastChange {
        if self.seq >= self.studio.seq {
            &self.last
        } else {
            &self.studio.last
        }
    }

    /// The production record.
    pub fn production(&self) -> Option<&Entry<Production>> {
        self.productions.iter().next()
    }

    /// Frames a second in the cut, exactly.
    pub fn base_rate(&self) -> (i64, i64) {
        self.production()
            .and_then(|p| crate::journal::field::parse_rate(&p.base_fps))
            .unwrap_or((25, 1))
    }

    /// Frames a second in the cut.
    pub fn base_fps(&self) -> f64 {
        let (num, den) = self.base_rate();
        #[expect(clippy::cast_precision_loss, reason = "rates are small whole numbers")]
        let fps = num as f64 / den as f64;
        fps
    }

    /// Shots in the order of the cut.
    pub fn shots_in_order(&self) -> Vec<&Entry<Shot>> {
        in_order(self.shots.iter(), |s| &s.order_key)
    }

    /// Setups in the order of their list.
    pub fn setups_in_order(&self) -> Vec<&Entry<Setup>> {
        in_order(self.setups.iter(), |s| &s.order_key)
    }

    /// Passes of a setup, in order.
    pub fn passes_of_setup(&self, setup: &Id) -> Vec<&Entry<Pass>> {
        in_order(
            self.passes
                .iter()
                .filter(|p| p.setup.as_ref() == Some(setup)),
            |p| &p.order_key,
        )
    }

    /// Shots that a setup serves, in the order of the cut.
    pub fn shots_of_setup(&self, setup: &Id) -> Vec<&Entry<Shot>> {
        let passes = self
            .passes
            .iter()
            .filter(|p| p.setup.as_ref() == Some(setup));
        let mut shots: Vec<&Entry<Shot>> = passes
            .filter_map(|p| self.shots.get(p.shot.as_ref()?))
            .collect();
        shots.sort_by(|a, b| a.order_key.cmp(&b.order_key).then_with(|| a.id.cmp(&b.id)));
        shots.dedup_by(|a, b| a.id == b.id);
        shots
    }

    /// Things that stand in a setup, in order; their number rings follow it.
    pub fn placements_of_setup(&self, setup: &Id) -> Vec<&Entry<Placement>> {
        in_order(
            self.placements
                .iter()
                .filter(|p| p.setup.as_ref() == Some(setup)),
            |p| &p.order_key,
        )
    }

    /// Passes of a shot, in order.
    pub fn passes_of_shot(&self, shot: &Id) -> Vec<&Entry<Pass>> {
        in_order(
            self.passes.iter().filter(|p| p.shot.as_ref() == Some(shot)),
            |p| &p.order_key,
        )
    }

    /// Stage days in order.
    pub fn days_in_order(&self) -> Vec<&Entry<Day>> {
        in_order(self.days.iter(), |d| &d.order_key)
    }

    /// Setups of a day in shooting order, with their place records.
    pub fn setups_of_day(&self, day: &Id) -> Vec<(&Entry<DaySetup>, &Entry<Setup>)> {
        in_order(
            self.day_setups
                .iter()
                .filter(|s| s.day.as_ref() == Some(day)),
            |s| &s.order_key,
        )
        .into_iter()
        .filter_map(|place| Some((place, self.setups.get(place.setup.as_ref()?)?)))
        .collect()
    }

    /// Calls of a day in order.
    pub fn calls_of_day(&self, day: &Id) -> Vec<&Entry<CrewCall>> {
        in_order(
            self.crew_calls
                .iter()
                .filter(|c| c.day.as_ref() == Some(day)),
            |c| &c.order_key,
        )
    }

    /// A living setup by its code.
    pub fn setup_by_code(&self, code: &str) -> Option<&Entry<Setup>> {
        self.setups.iter().find(|s| &*s.code == code)
    }

    /// A living shot by its code.
    pub fn shot_by_code(&self, code: &str) -> Option<&Entry<Shot>> {
        self.shots.iter().find(|s| &*s.code == code)
    }

    /// Values kept beside in one blank.
    pub fn besides_of<'a>(
        &'a self,
        entity: &'a Id,
        field: &'a str,
    ) -> impl Iterator<Item = &'a Beside> {
        let own = self.besides.iter().chain(self.studio.besides.iter());
        own.map(|b| &**b)
            .filter(move |b| b.entity == *entity && &*b.field == field)
    }

    /// Puts a value into a field without any journal: for trying it on a copy.
    pub fn put(&mut self, entity_type: &str, id: &str, index: usize, value: &Value) {
        let newest = self.number();
        if let Some(list) = self.list_mut(entity_type) {
            list.put(id, index, value, newest);
        } else if let Some(list) = Arc::make_mut(&mut self.studio).list_mut(entity_type) {
            list.put(id, index, value, newest);
        }
    }

    /// The thing with this id, in the plan or in what it shares.
    pub fn anything(&self, id: &str) -> Option<&dyn AnyEntry> {
        self.find(id).or_else(|| self.studio.find(id))
    }
}

/// Addresses of the plan's pages.
pub fn routes() -> crate::web::routes::Routes {
    use axum::{
        extract::Path,
        response::Redirect,
        routing::{get, post},
    };
    crate::web::routes::Routes::new()
        .merge(handover::routes())
        .merge(days::pages::routes())
        .merge(setups::pages::routes())
        .merge(stores::pages::routes())
        .merge(two_hands::routes())
        .merge(cut::pages::routes())
        .merge(paper::routes())
        .merge(cut::sketch::routes())
        .merge(pictures::routes())
        .merge(undo::routes())
        .merge(history::routes())
        .merge(remarks::routes())
        .merge(haze::routes())
        .merge(power::routes())
        .route("/", get(book::show))
        .route("/plans", post(book::make))
        .route(
            "/plans/{plan}",
            get(async |Path(plan): Path<String>| Redirect::to(&format!("/plans/{plan}/cut"))),
        )
}
