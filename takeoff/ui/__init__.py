"""The window. No figure is computed here: every number comes from a call that the command makes too.

Floors, each of which may use those to its right only::

    app > window > panels > actions > tools > canvas > tasks > document
        > crash > languages > messages | settings | themes

How it hangs together:

* ``document.Document`` holds the job as one frozen value, what was measured of it, and what is
  chosen, as ids. ``document.apply("Set height", lambda job: edits.set_flat_ceiling(job, …))`` is the
  only way to change a job; it measures first, then pushes one command. Undo swaps two states.
* Views hear ``changed(before, after)`` (two ``State`` values) and compare with ``is`` or ``==``:
  they update what differs and rebuild nothing. They never edit from within such a signal.
* What a view shows is decided without Qt: ``views`` for words and figures,
  ``canvas.pieces`` for the plan's shapes, ``canvas.targets`` for what a click hits.
* A tool (``canvas.tool.Tool``) gets plan millimetres, shows previews while dragging and calls
  ``document.apply`` once on release.
* An action is a row in a table (``actions.Action``); menus, shortcuts and the list of shortcuts
  are made from it. A page is registered with ``Workspace.pages``.
* A part of the window (``window/…_part.py``) is a module with ``add(space)``. It knows the
  ``Workspace`` and never the main window, which lists its parts.
* Questions to the user go through ``messages``, which tests replace; long work through ``tasks``.
"""
