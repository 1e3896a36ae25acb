"""Printed matter: a procedure's card, a part's label, and the codes on them."""
