"""Sewing-room step tracker: a block plan is compiled into an ordered checklist, followed on a phone.

A module imports only from the layers above its own, and in its own layer from those named before it; a package
stands for all its files (a test holds this):

    exact: measure, geometry, ties, constraints — exact numbers, polygons and choices
    plan: defaults, problems, tomltext, fields, keys, plan, picture, quiltfile, planwriting, planfile — what is wanted
    work: things, operations, assembling, work — piles, steps and actions: the common language
    cloth: faults, cloth, folding, joining, uniting, likeness, actions, sewing — what an action does to cloth, exactly
    units: kept, region, counting, making, recipes, units, covers, ways, joins — a picture made of units and joins
    pressing: junctions, pressing, arranging, quilt_pressing — which way its seams are pressed
    quilt: packing, setting, lattice, cutting, buying — the quilt round its blocks, and its cloth
    printed: freehand, printed, areas — a printed cutting list, read
    compiler: route, top, borders, finishing, checklist, narrow_cloth — all of it as steps
    comparing: roomy, compare — a printed cutting list against all that
    proof: wanted, wholes, uses, lists, row_seams, seam_faults, version_faults, proof — sews it, compares all
    progress: changes, counts, leading, strips, measured, progress, batches, carrying, fitting — what was done
    sentences: naming, seam_words, quilt_texts, quilt_words, measured_words — of single steps
    words: messages, wording, telling, list_words, report — for eyes and ears
    drawings: drawing — what lies on the table, as SVG
    store: disk, records, copies, journal, histories, mending, notices, store — files
    keeping: callers, logbook, pairing, shapes, backup — who may in, backups, the log
    network: codes, network, lines, lanes, sharing, connections, serving — the home network
    doors: assets, demo, looker, looking, preview, web, safety, cli, __main__ — pages and commands
"""
