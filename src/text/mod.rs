//! Markdown and words into set lines: break classes, hyphenation, optimum breaks, justification.
