/* Rendering intents: how colours that a paper cannot show are brought into what it can. */
#ifndef TW_COLOUR_INTENT_H
#define TW_COLOUR_INTENT_H

/* How colours the paper cannot show are brought in (ICC.1, 0.4). Absolute is for proofs alone: on a
 * print it would tint the picture beside its border. */
typedef enum tw_intent {
    TW_INTENT_UNSET,
    TW_INTENT_AUTO, /* relative, or perceptual where much is out of gamut */
    TW_PERCEPTUAL,
    TW_RELATIVE,
    TW_SATURATION,
    TW_ABSOLUTE
} tw_intent;

#endif
