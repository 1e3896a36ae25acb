"""What may be said: JSGF, its automaton, the language pack, the interpretation."""
