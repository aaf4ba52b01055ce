"""One engine and its arithmetic: pure functions over frozen records; nothing here knows of parts, files or a shop.

records, moving     an engine, its cylinders, their windows and limits
deck, limits        a sign said in words; measures out of all reason
uncertainty         standard uncertainties and degrees of freedom, as the GUM states them
readings            deck readings to a deck height and its spread; reading_remarks says what they show; diameters a bore
geometry            quench, volumes, static compression ratio
distribution        the exact distribution of an error that is partly scattered, partly rectangular
spread              95 % interval, worst case and chance of quench and ratio, for many stacks at once
running, at_speed   rod stretch, cranking pressure, squish; moduli
motion, moves       the slider-crank; all that moves with the stack, and which of it is a rule; expansion, practice
levers              head cut, deck cut, spacer, another piston; lever_answers says how much is needed (linear)
effect              all that comes out of one stack
thickness, amounts  every thickness of one piece, every amount of one lever, that keeps all limits
"""
