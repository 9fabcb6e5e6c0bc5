"""Sewing-room step tracker: a block plan is compiled into an ordered checklist, followed on a phone.

A module imports only from the layers above it (a test holds this):

    measure, geometry                                       exact numbers and polygons
    plan, planfile                                          what is wanted, read from text
    work                                                    piles, steps and actions: the common language
    sewing                                                  what an action does to cloth, exactly
    recipes, units, joins, route, checklist                 the compiler
    proof                                                   sews a checklist and compares it with the picture
    progress                                                what was done, what can be done
    wording, drawing                                        for eyes and ears
    store | network, serving | web, cli                     files, the home network, the doors
"""
