"""The bench line by line: the same questions and entries as on the screens, as plain lines, without Textual."""
