"""Tools: what the mouse does on the plan. Each is a class that fits ``canvas.tool.Tool``.

A tool is made with the ``canvas.plan.Plan`` and speaks in plan mm. It shows previews as items of
its own that ``stop`` takes away, and calls ``plan.document.apply`` once, on release.
"""
