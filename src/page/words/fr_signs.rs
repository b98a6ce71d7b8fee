//! French sentences of the key: one a sign.

use crate::engrave::Sign;
use crate::instrument::RowAt;
use crate::style::{DirectionLook, FingerLook, FingerOne, Signs, SoundingLook};

/// The sentence of a sign.
pub(super) fn sign(sign: Sign, look: &Signs) -> String {
    sentence(sign, look).to_owned()
}

fn sentence(sign: Sign, look: &Signs) -> &'static str {
    let hold = look.sounding == SoundingLook::HoldBar;
    match sign {
        Sign::RowHead(RowAt::Outer) => "Une note du rang extérieur, le plus éloigné du soufflet.",
        Sign::RowHead(RowAt::Inner) => "Une note du rang intérieur, le plus proche du soufflet.",
        Sign::RowHead(RowAt::Half) => "Une note du demi-rang de touches d’appoint.",
        Sign::Pull => match look.direction {
            DirectionLook::Band => "Tiré : le soufflet s’ouvre tant que la bande est pleine.",
            DirectionLook::Arrows => "Tiré : le soufflet s’ouvre à partir d’ici.",
            DirectionLook::Words | DirectionLook::None => "Le soufflet s’ouvre à partir d’ici.",
        },
        Sign::Push => match look.direction {
            DirectionLook::Band => "Poussé : le soufflet se ferme tant que la bande est vide.",
            DirectionLook::Arrows => "Poussé : le soufflet se ferme à partir d’ici.",
            DirectionLook::Words | DirectionLook::None => "Le soufflet se ferme à partir d’ici.",
        },
        Sign::Reversal if hold => {
            "Touche gardée : la barre est continue. Gardez la touche enfoncée et changez le soufflet de sens."
        }
        Sign::Reversal => "Touche gardée : gardez la touche enfoncée et changez le soufflet de sens.",
        Sign::Replay if hold => {
            "Touche rejouée : la barre est coupée. Changez le soufflet de sens, et rejouez la même touche au petit trait."
        }
        Sign::Replay => "Touche rejouée : changez le soufflet de sens et rejouez la même touche.",
        Sign::Place => {
            "La main se déplace : l’index va sur cette touche du rang dont la note est dessinée à côté du chiffre."
        }
        Sign::Finger => match look.finger_one {
            FingerOne::Index => {
                "Le doigt : 1 index, 2 majeur, 3 annulaire, 4 auriculaire. Une note sans chiffre garde le même doigt."
            }
            FingerOne::Thumb => {
                "Le doigt : 2 est l’index, 3 le majeur, 4 l’annulaire, 5 l’auriculaire ; 1 serait le pouce, qui tient l’accordéon. \
                 Une note sans chiffre garde le même doigt."
            }
        },
        Sign::Button => "Le numéro de la touche dans son rang, compté à partir du menton.",
        Sign::BoxedButton => "Un numéro encadré est une touche du rang intérieur.",
        Sign::AirOpen => "Appuyez sur la touche d’air et laissez le soufflet s’ouvrir sans note.",
        Sign::AirClose => "Appuyez sur la touche d’air et laissez le soufflet se fermer sans note.",
        Sign::Bass => {
            "Une basse de la main gauche : une majuscule, sur la ligne du bas. A est la, B si, C do, D ré, E mi, F fa, G sol."
        }
        Sign::Chord => "Un accord de la main gauche : une minuscule, sur la ligne du haut.",
        Sign::LeftHold => "Le trait après une lettre : gardez la touche enfoncée.",
        Sign::LeftStem => "Une lettre avec une hampe tombe entre les temps.",
        Sign::ChordSymbol => "L’accord qui va ici avec l’air, pour qui accompagne.",
        Sign::Count => "Comptez ces syllabes à voix haute.",
        Sign::Tie => "Une liaison de durée unit deux notes de même hauteur : tenez, ne rejouez pas.",
        Sign::Slur => "Une liaison sur des notes différentes : ne laissez pas de trou entre elles.",
        Sign::Repeat => "Reprise : rejouez ce qui est entre les points, ou depuis le début.",
        Sign::Ending => {
            "Première et seconde fois : le crochet marqué 1 est pour la première fois, celui marqué 2 pour la seconde."
        }
        Sign::PickUp => "Anacrouse : des notes avant la première mesure entière, comptées comme une fin de mesure.",
        Sign::Tuplet => "Un chiffre sur un groupe : trois notes dans le temps de deux, ou comme le dit le chiffre.",
        Sign::Grace if look.fingers == FingerLook::Above => {
            "Une petite note se joue vite juste avant la suivante et ne prend pas de temps à elle. Le petit chiffre au-dessus est son doigt."
        }
        Sign::Grace => "Une petite note se joue vite juste avant la suivante et ne prend pas de temps à elle.",
        Sign::Staccato => "Un point sur ou sous une note : courte.",
        Sign::Accent => "Un accent : donnez plus de poids à cette note avec le soufflet.",
        Sign::Tenuto => "Un trait : tenez cette note toute sa durée.",
        Sign::Fermata => "Un point d’orgue : restez ici aussi longtemps que vous voulez.",
        Sign::Breath => "Une virgule : une courte coupure.",
        Sign::Caesura => "Deux traits : tout s’arrête, puis on reprend.",
        Sign::Trill => "Un trille : alternez vite avec la note au-dessus.",
        Sign::Turn => "Un gruppetto : tournez vite autour de la note, au-dessus, dessus, au-dessous, dessus.",
        Sign::Mordent => "Un mordant : un seul aller et retour rapide vers la note voisine.",
        Sign::Roll => "Un roulement : ornez la note d’un tour rapide et d’une note frappée.",
        Sign::Slide => {
            "Un petit trait vers la tête : glisser vers la note par en dessous, si l’on peut ; une note d’ornement convient aussi."
        }
        Sign::Segno => "Le signe auquel une indication vous renverra plus loin.",
        Sign::Coda => "La coda, la fin de l’air : sautez ici quand on vous le dit.",
        Sign::Jump => "D.C. renvoie au début, D.S. au signe ; Fine est la fin.",
        Sign::BarNumber => {
            "Le numéro de la première mesure d’une ligne ; les explications après la musique s’en servent."
        }
        Sign::Accidental => {
            "Un dièse hausse et un bémol baisse la note jusqu’à la fin de la mesure ; un bécarre annule cela."
        }
    }
}
