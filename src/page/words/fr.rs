//! French words.

use super::fr_signs::sign;
use super::{Term, Words};
use crate::tune::Mode;

pub(super) const FR: Words = Words {
    contents: "Table des matières",
    my_box: "Votre accordéon",
    key: "Les signes",
    key_minor: "Un m derrière veut dire mineur.",
    key_second_half: "8+ est la seconde moitié de la mesure 8, après une reprise au milieu de celle-ci.",
    key_curve: "L’ouverture du soufflet, fermé à la ligne du bas, ouvert à celle du haut : la surface grise est la première fois, \
                les traits fins les fois suivantes.",
    key_places: "Là où la main prend une position : 9.1 est la première note de la mesure 9.",
    key_places_second_half: "8+.1 est la première note de la seconde moitié de la mesure 8.",
    key_places_grace: "9.2g1 est la première petite note avant la deuxième note de la mesure 9.",
    key_turned: "Une ligne à taper continue ici, depuis celle du dessus : les deux se tapent en une seule, avec une espace entre elles.",
    key_intro: "Tous les signes de ce livre, à la taille où ils sont imprimés.",
    holding: "Tenue et confort",
    how_to: "Mode d’emploi de ce livre",
    measure: "Combien de temps dure votre soufflet ?",
    chord_chart: "Les accords et leur sens",
    scales: "Gammes et arpèges",
    tempo_ladder: "L’échelle des mouvements",
    practice_log: "Carnet de travail",
    staves: "Portées à remplir",
    glossary: "Les mots du métier",
    index: "Index",
    sources: "Sources et droits",
    corrections: "Bulletin de corrections",

    holding_text: include_str!("fr/holding.md"),
    how_to_text: include_str!("fr/how-to.md"),
    measure_text: include_str!("fr/measure.md"),
    measure_maker: "Pour qui fait le livre : le plus petit chiffre du point 3 va dans le fichier de l’accordéon, \
                    `bellows: {seconds: ...}` ; les signes d’air sont alors recalculés.",
    measure_heads: ["Secondes", "1", "2", "3", "Milieu"],
    measure_rows: [
        "Une note, poussé",
        "Une note, tiré",
        "Note, basse et accord, poussé",
        "Note, basse et accord, tiré",
        "Aucune touche, 5 cm",
        "Touche d’air, d’ouvert à fermé",
        "Date",
    ],
    decimal: ",",

    right_hand: "Main droite",
    left_hand: "Main gauche",
    push: "poussé",
    pull: "tiré",
    chin: "menton",
    lap: "genoux",
    bellows: "soufflet",
    chord: "accord",
    outer_row: "rang extérieur",
    inner_row: "rang intérieur",
    half_row: "demi-rang",
    on_staff: "sur la portée",
    hand_line: "Place de la main au début\u{a0}: {row}, doigts {fingers} sur les touches {buttons}, comptées depuis le menton.",
    hand_from: "À partir de {notes}\u{a0}: {row}, doigts {fingers} sur les touches {buttons}, comptées depuis le menton.",
    a_to_b: "{a} à {b}",
    my_box_intro: "Tel que vous le voyez d’en haut, l’accordéon sur les genoux. Chaque touche a deux notes : la moitié gauche donne \
                   celle du poussé, la moitié droite, au bord épais, celle du tiré. La touche 1 est la plus proche du menton.",
    left_intro: "Les majuscules sont les basses, les minuscules les accords.",
    thirds_out: "Cet accordéon joue sans tierces : ses accords ne sont ni majeurs ni mineurs.",
    box_layout: "Disposition : {source}",
    box_source: "Les accordéons diffèrent, surtout dans les touches les plus graves : comparez le vôtre avec cette page avant de \
                 vous y fier.",

    arranged: "arr. {name}",
    from: "d’après {source}",
    box_for: "Pour l’accordéon {box}",
    box_parts: &[
        ("one row", "un rang"),
        ("third-button start", "départ à la troisième touche"),
        ("fourth-button start", "départ à la quatrième touche"),
        ("low notes", "notes graves"),
        ("accidentals", "altérations"),
        ("accidentals and low notes", "altérations et notes graves"),
    ],
    buttons: "{n} touches",
    edition_large: "Édition en grands caractères, recomposée avec un texte et une musique plus grands ; airs et mesures gardent les \
                    numéros du livre.",
    edition_teacher: "Édition du professeur.",
    edition_handout: "Feuille volante.",
    impression: "Tirage {number}, {date}",
    isbn_none: "Cette édition n’a pas d’ISBN.",
    published_by: "Publié par {publisher}",
    rights_of_tunes: "Les airs",
    local_law: "Qui peut copier, jouer en public ou enregistrer ce qui est imprimé ici, et pendant combien de temps, change d’un pays à \
                l’autre : la loi locale en décide.",
    fonts: "Composé en {text} et {labels}, la musique en Bravura : tous sous SIL Open Font Licence 1.1.",
    fonts_one: "Composé en {text}, la musique en Bravura : tous deux sous SIL Open Font Licence 1.1.",
    fonts_code: "Ce qui se tape au clavier est composé en {code}, sous la même licence.",
    errata_note: "Les corrections sont réunies pour le prochain tirage ; servez-vous du bulletin à la fin.",
    health_note: "Les conseils de tenue et de confort sont généraux et ne remplacent ni un médecin ni un professeur.",
    rights_unstated: "droits non indiqués",

    along: "sur un seul rang",
    smooth: "lié, en croisant les rangs",
    easy: "facile",
    listen: "écouter",
    notes_page: "Notes",
    practice: "Travail",
    teacher_notes: "Pour le professeur",
    open: "ouvert",
    closed: "fermé",
    places: "Positions de la main",
    runner_up: "La deuxième manière",

    no_chord: "{chord}, {direction}\u{a0}: aucun.",
    chord_intro: "Quels accords a votre main gauche, et dans quel sens. Les cercles pleins sont les touches à enfoncer : le cercle \
                  tout noir est l’accord, celui au centre blanc sa basse.",
    chord_columns: "La colonne de gauche est le {left}, celle de droite le {right}.",
    cross_intro: "Une basse avec l’accord d’une autre paire, dans le même sens. Ce qui sonne est nommé d’aussi près que quatre notes le \
                  permettent.",
    cross_chords: "Accords croisés",
    clash: "Ceux-ci se heurtent, évitez-les : {ways}.",

    scales_intro: "Chaque gamme et son arpège : sur son propre rang, puis en croisant les rangs là où cela épargne des changements de \
                   sens. Les chiffres gras au-dessus de la portée sont les doigts, ceux du dessous les touches ; un chiffre \
                   encadré dit où va la main, la forme de la note son rang.",
    major: "majeur",
    arpeggio: "arpège",
    scale_along: "sur un seul rang",
    scale_across: "en croisant",
    turns: "{n} changements de sens",
    one_turn: "1 changement de sens",
    no_turn: "aucun changement de sens",
    scale_missing: "À cet accordéon il manque {notes} pour {key} dans cette octave.",

    ladder_intro: "Cochez un mouvement quand vous avez joué tout l’air trois fois sans vous arrêter.",
    tune: "Air",
    page: "Page",
    on_page: "page {page}",
    to_write: "Tableau à remplir\u{a0}: {columns} colonnes, {rows} lignes.",
    bar: "Mesure",
    date: "Date",
    minutes: "Minutes",
    speed: "Mouvement",
    next_time: "Ce qui allait bien, la suite",
    staves_intro: "Pour vos airs et pour ceux que vous entendez. La forme de la tête dit la rangée de chaque note.",
    log_intro: "Un peu chaque jour vaut mieux qu’une heure le dimanche. Arrêtez avant d’avoir mal.",
    week: "Semaine {n}",

    index_titles: "Airs",
    index_first_lines: "Premiers vers",
    index_keys: "Par tonalité",
    index_metres: "Par mesure",
    index_levels: "Par niveau",
    index_teaches: "Par notion travaillée",
    index_goes_on: "{name} (suite)",
    index_words: "Sujets et termes",
    level: "Niveau {n}",
    no_metre: "sans mesure",

    composer: "Compositeur",
    source: "Source",
    rights: "Droits",

    whose_book: "la personne qui a fait ce livre",
    corrections_intro: "Une erreur ? Notez-la ici, découpez le bulletin, et donnez-le à votre professeur ou envoyez-le à {publisher}. \
                        {title}, tirage {number}.",
    stands: "Il y a",
    should_be: "Il faut",

    key_groups: ["Rang, touche, doigt", "Soufflet", "Main gauche", "Notes", "Ordre des mesures", "Ce qui se tape"],
    articles: &["le ", "la ", "les ", "l'", "l’", "un ", "une ", "des ", "the ", "a ", "an ", "der ", "die ", "das "],
    letters: ["do", "ré", "mi", "fa", "sol", "la", "si"],
    colon: "\u{a0}: ",
    terms: TERMS,
    sign,
    mode,
};

const fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Major => "majeur",
        Mode::Minor => "mineur",
        Mode::Dorian => "dorien",
        Mode::Phrygian => "phrygien",
        Mode::Lydian => "lydien",
        Mode::Mixolydian => "mixolydien",
        Mode::Locrian => "locrien",
    }
}

const TERMS: &[Term] = &[
    Term {
        term: "accord",
        used_as: &["accord", "accords"],
        meaning: "Trois notes ensemble ; une touche de la main gauche qui les donne, imprimée en minuscule.",
    },
    Term {
        term: "accord croisé",
        used_as: &["accord croisé", "accords croisés"],
        meaning: "La basse d’une paire avec l’accord d’une autre.",
    },
    Term {
        term: "anacrouse",
        used_as: &["anacrouse", "anacrouses"],
        meaning: "La ou les notes avant la première mesure entière.",
    },
    Term {
        term: "arpège",
        used_as: &["arpège", "arpèges"],
        meaning: "Les notes d’un accord jouées l’une après l’autre.",
    },
    Term {
        term: "barre de tenue",
        used_as: &["barre"],
        meaning: "La barre pleine sous la portée tant qu’une même touche sert.",
    },
    Term {
        term: "basse",
        used_as: &["basse", "basses"],
        meaning: "Une touche de la main gauche qui donne une seule note grave ; imprimée en majuscule.",
    },
    Term {
        term: "changement de sens",
        used_as: &["change", "changez", "changement", "changements"],
        meaning: "Le passage du poussé au tiré, ou l’inverse.",
    },
    Term {
        term: "croiser",
        used_as: &["croiser", "croise", "croisez", "croisé"],
        meaning: "Prendre une note sur l’autre rang, pour que le soufflet n’ait pas à changer ou que la main gauche ait son accord.",
    },
    Term {
        term: "gamme",
        used_as: &["gamme", "gammes"],
        meaning: "Les notes d’une tonalité dans l’ordre, degré par degré.",
    },
    Term {
        term: "gigue",
        used_as: &["gigue", "gigues"],
        meaning: "Une danse à deux temps, chacun de trois notes vives.",
    },
    Term {
        term: "liaison",
        used_as: &["liaison", "liaisons"],
        meaning: "Une courbe : entre deux notes de même hauteur, tenez sans rejouer ; sur des notes différentes, jouez sans trou.",
    },
    Term { term: "marche", used_as: &["marche", "marches"], meaning: "Un air pour marcher, à deux ou quatre temps." },
    Term {
        term: "mesure",
        used_as: &["mesure", "mesures"],
        meaning: "La musique entre deux traits verticaux de la portée ; elles se comptent depuis la première entière.",
    },
    Term {
        term: "petite note",
        used_as: &["petite note", "petites notes"],
        meaning: "Une note brève avant une autre ; elle ne prend pas de temps à elle.",
    },
    Term { term: "polka", used_as: &["polka", "polkas"], meaning: "Une danse vive à deux temps." },
    Term {
        term: "position",
        used_as: &["position", "positions"],
        meaning: "L’endroit où se tient la main : la touche sous l’index. Les autres doigts sont sur les trois suivantes et, à l’autre rang, sur leurs voisines du côté du menton. Là, la main peut se pencher d’une demi-touche : une touche de ce rang peut revenir à l’un ou l’autre de deux doigts.",
    },
    Term { term: "poussé", used_as: &["poussé", "pousser", "poussez"], meaning: "Le soufflet se ferme." },
    Term {
        term: "rang",
        used_as: &["rang", "rangs"],
        meaning: "Une ligne de touches qui donne la gamme d’une tonalité ; l’extérieur est le plus loin du soufflet, l’intérieur le \
                  plus proche.",
    },
    Term {
        term: "reprise",
        used_as: &["reprise", "reprises"],
        meaning: "Deux points près d’une double barre : rejouez depuis le signe qui lui fait face, ou depuis le début.",
    },
    Term {
        term: "scottish",
        used_as: &["scottish", "scottishs"],
        meaning: "Une danse à quatre temps, au balancement marqué.",
    },
    Term {
        term: "soufflet",
        used_as: &["soufflet"],
        meaning: "Les plis entre les deux caisses ; c’est leur mouvement qui fait tous les sons.",
    },
    Term {
        term: "tierces",
        used_as: &["tierces", "tierce"],
        meaning: "Les notes qui rendent un accord majeur ou mineur ; beaucoup d’accordéons ont un registre qui les retire.",
    },
    Term { term: "tiré", used_as: &["tiré", "tirer", "tirez"], meaning: "Le soufflet s’ouvre." },
    Term {
        term: "touche d’air",
        used_as: &["touche d"],
        meaning: "La touche sous le pouce gauche qui laisse entrer ou sortir l’air sans note.",
    },
    Term {
        term: "touche gardée",
        used_as: &["gardez", "gardée", "gardant"],
        meaning: "Le soufflet change de sens pendant que la touche reste enfoncée : un doigt, deux notes.",
    },
    Term {
        term: "touche rejouée",
        used_as: &["rejouez", "rejouée", "rejouer"],
        meaning: "La même touche relevée puis enfoncée de nouveau après un changement de sens.",
    },
    Term { term: "triolet", used_as: &["triolet", "triolets"], meaning: "Trois notes dans le temps de deux." },
    Term { term: "valse", used_as: &["valse", "valses"], meaning: "Une danse à trois temps, forte sur le premier." },
];
