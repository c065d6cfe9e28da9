"""Panels beside the plan. Each is a QWidget made with the document (and what it acts on); it listens
to the document's signals, updates what differs, and speaks of things by ``document.Ref``.

A page at the right is registered in ``window.sides``; the words and figures it shows come from
``services.cards`` or a module like it, never from sums of its own.
"""
