//! A plan into words: facts, walk-throughs, counts, alternative text; one word table per language.
