//! Notes, rests, chords and graces, with the accidentals that reach them and the ties between them.
//!
//! Source: ABC 2.1 §4.1 to §4.5, §4.11, §4.12, §4.17, §11.3 (how far accidentals reach; the standard's default). A tie over
//! a barline keeps its note's alteration (the standard is silent; staff notation's rule).

use super::music::Builder;
use super::setup::Reach;
use super::token::NoteText;
use crate::diag::Place;
use crate::tune::{
    Annotation, ChordSymbol, Event, Fraction, Grace, Mark, Note, NoteId, NoteValue, Notes, Pitch, Sounding, ThinVec,
    smallvec,
};

/// What stands before a note and waits for it.
#[derive(Debug, Clone, Default)]
pub(super) struct Prefix {
    pub graces: ThinVec<Grace>,
    pub slashed: bool,
    pub marks: ThinVec<Mark>,
    pub annotations: ThinVec<Annotation>,
    pub chord_symbols: ThinVec<ChordSymbol>,
    /// Slurs that begin at the next note: dotted or not, and where.
    pub slurs: Vec<(bool, Place)>,
    /// Where the first thing waiting stands.
    pub place: Option<Place>,
    /// Whether a spacer stands after it, which may carry it instead of a note (§6.1.2).
    pub spaced: bool,
}

impl Prefix {
    /// Whether anything but slurs waits for a note.
    pub fn waits(&self) -> bool {
        !(self.graces.is_empty()
            && self.marks.is_empty()
            && self.annotations.is_empty()
            && self.chord_symbols.is_empty())
    }
}

/// A chord being read.
#[derive(Debug, Clone)]
pub(super) struct Chord {
    pub notes: Notes,
    pub length: Fraction,
    pub place: Place,
    pub slurs_closed: u32,
}

/// Grace notes being read.
#[derive(Debug, Clone)]
pub(super) struct GraceGroup {
    pub slashed: bool,
    pub place: Place,
    notes: Vec<(Notes, Fraction, NoteId)>,
    broken: i8,
}

impl GraceGroup {
    /// A broken rhythm among graces.
    pub fn broken(&mut self, count: i8) {
        self.broken = count;
    }
}

/// A chord has at most so many notes, a note at most so many graces or signs.
const MOST_TOGETHER: usize = 32;
/// Slurs in slurs, at most.
const DEEPEST_SLUR: usize = 32;

impl Builder<'_> {
    fn new_id(&mut self) -> NoteId {
        let id = NoteId(self.next_id);
        self.next_id += 1;
        self.last_id = Some(id);
        for (dotted, place) in std::mem::take(&mut self.prefix.slurs) {
            self.slurs_open.push((id, dotted, place));
        }
        id
    }
    /// The head or rest before the one that comes next, over barlines.
    fn previous(&self) -> Option<&Event> {
        self.bar.events.last().or_else(|| self.bars.last().and_then(|bar| bar.events.last()))
    }
    fn previous_mut(&mut self) -> Option<&mut Event> {
        match self.bar.events.last_mut() {
            Some(event) => Some(event),
            None => self.bars.last_mut().and_then(|bar| bar.events.last_mut()),
        }
    }
    /// The pitch of a written note, and what its sign does to later ones.
    fn sound(&mut self, text: NoteText) -> Note {
        let octave = (text.octave + self.octave).clamp(-1, 9);
        let octave8 = i8::try_from(octave).unwrap_or(4);
        let alter = match text.sign {
            Some(sign) => {
                let alter = sign.alter();
                let reach = self.setup.reach;
                self.signs.retain(|(s, o, _)| *s != text.step || (reach == Reach::Octave && *o != octave));
                if reach != Reach::Note {
                    self.signs.push((text.step, octave, alter));
                }
                alter
            }
            None => {
                let tied = self.previous().filter(|_| self.grace.is_none()).and_then(|event| {
                    let same = |n: &&Note| n.tied_to_next && n.pitch.step == text.step && n.pitch.octave == octave8;
                    event.notes().iter().find(same).map(|n| n.pitch.alter)
                });
                let reach = self.setup.reach;
                let given =
                    self.signs.iter().find(|(s, o, _)| *s == text.step && (reach == Reach::Letter || *o == octave));
                tied.or(given.map(|(.., alter)| *alter)).unwrap_or_else(|| self.key.alter(text.step))
            }
        };
        Note {
            pitch: Pitch::new(text.step, alter, octave8),
            written_sign: text.sign,
            tied_to_next: false,
            tied_from_previous: false,
        }
    }
    /// A note alone, in a chord or among graces.
    pub fn note(&mut self, text: NoteText, place: Place) {
        let note = self.sound(text);
        if let Some(chord) = &mut self.chord {
            if chord.notes.is_empty() {
                chord.length = text.length;
            }
            if chord.notes.len() < MOST_TOGETHER {
                chord.notes.push(note);
            }
        } else if self.grace.is_some() {
            self.grace_note(smallvec![note], text.length, place);
        } else {
            self.head(smallvec![note], text.length, place);
        }
    }
    fn grace_note(&mut self, notes: Notes, mut length: Fraction, place: Place) {
        let full = self.prefix.graces.len() + self.grace.as_ref().map_or(0, |g| g.notes.len()) >= MOST_TOGETHER;
        if full {
            self.complaints.warn_once(
                "",
                code!("too-many-graces"),
                place,
                format!("more than {MOST_TOGETHER} graces"),
                "the rest is left out",
            );
            return;
        }
        self.count(place);
        let id = self.new_id();
        let Some(group) = &mut self.grace else { return };
        if group.broken != 0 {
            let (before, after) = super::music::broken_factors(std::mem::take(&mut group.broken));
            if let Some(last) = group.notes.last_mut() {
                last.1 = last.1 * before;
            }
            length = length * after;
        }
        group.notes.push((notes, length, id));
    }
    fn head(&mut self, mut notes: Notes, length: Fraction, place: Place) {
        notes.sort_by_key(|note| (note.pitch.midi(), note.pitch.staff_step()));
        self.join_ties(&mut notes);
        let id = self.new_id();
        self.heads += 1;
        let event = self.event(Sounding::Head { id, notes });
        self.push_event(event, length, place);
    }
    /// An event that takes all that waits for it.
    fn event(&mut self, sounding: Sounding) -> Event {
        let prefix = std::mem::take(&mut self.prefix);
        if matches!(sounding, Sounding::Rest { .. }) {
            self.prefix.slurs = prefix.slurs;
        }
        Event {
            value: NoteValue::plain(2),
            graces: prefix.graces,
            graces_slashed: prefix.slashed,
            marks: prefix.marks,
            annotations: prefix.annotations,
            chord_symbols: prefix.chord_symbols,
            ..Event::blank(sounding)
        }
    }
    /// Joins ties that come from the event before.
    fn join_ties(&mut self, notes: &mut [Note]) {
        let Some(previous) = self.previous() else { return };
        if !previous.notes().iter().any(|n| n.tied_to_next) {
            return;
        }
        let (place, from) = (previous.place, previous.head());
        let mut lost = false;
        if let Some(previous) = self.previous_mut()
            && let Sounding::Head { notes: tied, .. } = &mut previous.sounding
        {
            for note in tied.iter_mut().filter(|n| n.tied_to_next) {
                match notes.iter_mut().find(|n| n.pitch == note.pitch && !n.tied_from_previous) {
                    Some(next) => next.tied_from_previous = true,
                    None => (note.tied_to_next, lost) = (false, true),
                }
            }
            lost &= !tied.iter().any(|n| n.tied_to_next);
        }
        if !lost {
            return;
        }
        let (Some(place), Some(from)) = (place, from) else { return };
        // Between different pitches the sign of a tie is an old sign for a slur; where a repeat or an ending stands between,
        // the tie leads somewhere else and is dropped.
        if self.bar.events.is_empty()
            && (self.bar.ending.is_some() || self.bars.last().is_some_and(|b| b.right.repeat_end > 0))
        {
            self.complaints.warn(
                code!("tie-over-repeat"),
                place,
                "this tie leads over a repeat and is left out",
                "end the note at the repeat",
            );
            return;
        }
        let hint = "a slur is written with brackets: (c d)";
        self.complaints.warn(
            code!("tie-to-other-pitch"),
            place,
            "this tie leads to another pitch and is taken for a slur",
            hint,
        );
        self.add_slur(from, NoteId(self.next_id), false);
    }
    /// A rest after a tie, or the end of the tune.
    pub fn last_ties(&mut self) {
        let Some(previous) = self.previous_mut() else { return };
        let place = previous.place;
        let mut lost = false;
        if let Sounding::Head { notes, .. } = &mut previous.sounding {
            for note in notes {
                lost |= std::mem::take(&mut note.tied_to_next);
            }
        }
        if let (true, Some(place)) = (lost, place) {
            self.complaints.warn(
                code!("tie-without-end"),
                place,
                "no note follows that this one could be tied to",
                "it is left out",
            );
        }
    }
    /// `z` or `x`.
    pub fn rest(&mut self, visible: bool, length: Fraction, place: Place) {
        if self.chord.is_some() || self.grace.is_some() {
            self.complaints.fault(
                code!("rest-in-chord"),
                place,
                "a rest can't stand in a chord or among graces",
                "it is left out",
            );
            return;
        }
        self.last_ties();
        let event = self.event(Sounding::Rest { visible, whole_bar: false });
        self.push_event(event, length, place);
    }
    pub fn chord_open(&mut self, place: Place) {
        if self.chord.is_some() {
            self.complaints.fault(
                code!("chord-in-chord"),
                place,
                "a chord can't stand in a chord",
                "close the first one with ]",
            );
            return;
        }
        self.chord = Some(Chord { notes: Notes::new(), length: Fraction::ONE, place, slurs_closed: 0 });
    }
    pub fn chord_close(&mut self, length: Fraction, place: Place) {
        let Some(chord) = self.chord.take() else {
            self.complaints.fault(code!("odd-sign"), place, "“]” closes nothing", "a chord is written [GBd]");
            return;
        };
        if chord.notes.is_empty() {
            self.complaints.fault(
                code!("empty-chord"),
                chord.place,
                "this chord has no notes",
                "write its notes between the brackets: [GBd]",
            );
            return;
        }
        let length = chord.length * length;
        if self.grace.is_some() {
            self.grace_note(chord.notes, length, chord.place);
        } else {
            self.head(chord.notes, length, chord.place);
        }
        for _ in 0..chord.slurs_closed {
            self.slur_close(place);
        }
    }
    pub fn grace_open(&mut self, slashed: bool, place: Place) {
        if self.grace.is_some() || self.chord.is_some() {
            self.complaints.fault(
                code!("graces-in-graces"),
                place,
                "grace notes can't begin here",
                "close the chord or the graces before: {gfe}[GBd]",
            );
            return;
        }
        self.grace = Some(GraceGroup { slashed, place, notes: Vec::new(), broken: 0 });
    }
    pub fn grace_close_at(&mut self, place: Place) {
        if self.grace.is_none() {
            self.complaints.fault(code!("odd-sign"), place, "“}” closes nothing", "grace notes are written {gfe}");
        }
        self.grace_close();
    }
    pub fn grace_close(&mut self) {
        let Some(group) = self.grace.take() else { return };
        // Drawn as an eighth when alone, else as sixteenths; lengths inside multiply that (our rule, §4.12 leaves it open).
        let base = if group.notes.len() > 1 { 4 } else { 3 };
        self.prefix.slashed |= group.slashed;
        self.prefix.place.get_or_insert(group.place);
        for (mut notes, length, id) in group.notes {
            notes.sort_by_key(|note| note.pitch.midi());
            let plain = NoteValue::plain(base);
            let value = NoteValue::exact(plain.duration().times(length)).unwrap_or(plain);
            self.prefix.graces.push(Grace { id, notes, value });
        }
    }
    pub fn slur_open(&mut self, dotted: bool, place: Place) {
        if self.slurs_open.len() + self.prefix.slurs.len() >= DEEPEST_SLUR {
            self.complaints.fault_once(
                code!("slurs-too-deep"),
                place,
                format!("more than {DEEPEST_SLUR} slurs at once"),
                "close some with ) first",
            );
            return;
        }
        self.prefix.slurs.push((dotted, place));
    }
    pub fn slur_close(&mut self, place: Place) {
        if let Some(chord) = &mut self.chord {
            chord.slurs_closed += 1;
            return;
        }
        // A slur that begins at this very note is not the one that ends here: `(c d (e) f g)`.
        let earlier = self.slurs_open.iter().rposition(|(from, ..)| Some(*from) != self.last_id);
        let closed = earlier.map(|at| self.slurs_open.remove(at)).or_else(|| self.slurs_open.pop());
        let Some((from, dotted, _)) = closed else {
            if self.prefix.slurs.pop().is_none() {
                self.complaints.fault(
                    code!("slur-not-open"),
                    place,
                    "this slur was not opened",
                    "write ( before its first note",
                );
            }
            return;
        };
        if let Some(to) = self.last_id {
            self.add_slur(from, to, dotted);
        }
    }
    pub fn tie(&mut self, touching: bool, place: Place) {
        if let Some(chord) = &mut self.chord {
            if let Some(note) = chord.notes.last_mut() {
                note.tied_to_next = true;
            }
            return;
        }
        if self.grace.is_some() {
            return;
        }
        if !touching || self.bar.events.is_empty() {
            self.complaints.warn(
                code!("loose-tie"),
                place,
                "a tie touches the note it comes from",
                "write c-c or c- c",
            );
        }
        let tied = match self.previous_mut() {
            Some(Event { sounding: Sounding::Head { notes, .. }, .. }) => {
                notes.iter_mut().for_each(|note| note.tied_to_next = true);
                true
            }
            _ => false,
        };
        if !tied {
            self.complaints.fault(
                code!("odd-tie"),
                place,
                "there is no note before this tie",
                "write it right after the note: c-c",
            );
        }
    }
}
