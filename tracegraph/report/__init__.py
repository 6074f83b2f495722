"""Give results a face: tables, figures, sentences, exported files."""
