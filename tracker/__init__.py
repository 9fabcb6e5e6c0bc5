"""Sewing-room step tracker: a block plan is compiled into an ordered checklist, followed on a phone.

A package imports only from those above it, and a module in it only from those named before it (a test holds this). Only
`store` knows of tinydb, only `web` of flask; `cli`, `plan_commands`, `assets` and `__main__` stand below all.

    exact: collecting, kept, measure, roots, geometry — exact numbers, polygons, and what was reckoned lately
    plan: defaults, problems, toml_text, fields, keys, cloths, model, picture, plan_writer, cutting_up, diamond_star,
        border_strips, border_reader, quilt_reader, upright_cloths, plan_reader, plan_text, squared_plan, drawn_plan,
        known_blocks — what is wanted, read from text and written
    work: operations, things, pressed, whole_blocks, partial_seams, dotted_seams, prints, steps — piles, steps and
        actions: the common language
    cloth: pieces, moving, clipping, sewing_faults, folding, alike, joining, half_sewn, setting_in, uniting, mitring,
        doing, sewing — what each action does to cloth, exactly
    units: region, ways_up, rounds, slicing, larger_units, strip_areas, diagonal_areas, times_needed, maker, recipes,
        print_turns, standing_prints, block_units, choice, joins — a block's picture made of units, and how each is made
    pressing: meetings, half_turns, seam_reader, solver, block_pressing, ties, arranging, quilt_pressing — which way
        every seam is pressed
    quilt: packing, borders, setting, cloth_cutting, buying, lattice — the quilt round its blocks: sizes, places, strips
        and lengths of cloth
    route: block_ids, block_route, centre_route, strip_units, border_edges, border_route, finishing_route,
        working_order, passes, print_lies, cloth_notices, compiler, narrow_cloth, unit_kinds, usable_plan — all of it as
        steps in order
    printed: list_line, list_table, block_readings, room_in_block, bare_patches, holding_together, other_blocks,
        block_area, list_findings, roomy_sizes, listed_diamonds, compare — a printed cutting list, read and compared
    proof: block_picture, border_pictures, uses, row_seams, seam_faults, print_faults, version_faults, finishing_faults,
        whole_quilt, numbers, proof — sews a checklist and compares it with the plan; believes nothing that it proves
    fitting: limits, seam_test, block_measures, block_shape, one_block, one_size, sorting, ways, measures_table — what
        measured seams and blocks say
    seeing: samples, colours, shading, layout_check, laid_pieces, laid_quilt, photo_drawing — what a photo shows, told
        from the colours of its cells
    progress: laid_blocks, changes, counts, measured_top, missing_steps, kits, unpicking, set_aside,
        ledger, work_taps, block_taps, tap_kinds, batches, pass_work, edited_plan, strip_ticks, pace_of_work,
        finished_quilt — what was done, what can be done next, how long the rest takes, what it became
    words: plain_letters, colour_names, log_words, thing_words, apart_names, part_words, names, quilt_mistakes,
        mistakes, measures_wrong, time_words, measured_words, seam_words, refusals, plan_notices, place_words,
        quilt_summary, printed_words, border_texts, quilt_texts, quilt_words, slanting_words, trimming_words,
        bonus_words, quarter_words, print_words, cut_words, toward_words, unit_words, unit_titles, dotted_words, tips,
        alike_titles, round_words, step_words, pass_words, sheet_words, quilt_lines, size_words, json_report,
        known_words, photo_words, shelf_words — everything that is said
    drawing — what lies on the table, as SVG
    pattern: some_blocks, sheet_room, block_sheet, quilt_sheet, handout, handout_command, label_sheet — one block and
        the quilt on paper, and as one file
    store: disk, copies, records, histories, journal, mending, disk_notices, one_file, photo_files, quilts — files that
        survive their program
    safekeeping: callers, logbook, secret_codes, pupils, pairing, shapes, small_photos, backup, safety_commands — who
        may in, photos made small, backups, the log
    server: addresses, lanes, lines, qr_codes, sharing, connections, serving, desktop, desktop_command — the home
        network, and this computer's programs
    looks: looker, looking, figures, preview — plans looked at while they are typed or drawn
    demo — an invented quilt, some weeks on the way
    web — the screens, a file each in its `screens`, and what serves them
"""
