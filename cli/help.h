/* Texts made from the tables: help for people, the manual page in roff, completion for bash. */
#ifndef CLI_HELP_H
#define CLI_HELP_H

#include <stdio.h>

#include "options.h"

void help_all(FILE *out);
void help_command(FILE *out, const command_row *command);
void help_man(FILE *out);
void help_completion(FILE *out);

#endif
