/* banned.h - calls that do not compile in this library. */
#ifndef MARQ_BANNED_H
#define MARQ_BANNED_H

#include <ctype.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#undef strcpy
#undef strcat
#undef sprintf
#undef vsprintf
#undef strtok
#undef gets
#undef atoi
#undef strtol
#undef strtoul
#undef isalpha
#undef isdigit
#undef isspace
#undef isalnum
#undef toupper
#undef tolower
#undef setlocale
#define strcpy banned_strcpy
#define strcat banned_strcat
#define sprintf banned_sprintf
#define vsprintf banned_vsprintf
#define strtok banned_strtok
#define gets banned_gets
#define atoi banned_atoi
#define strtol banned_strtol
#define strtoul banned_strtoul
#define isalpha banned_isalpha
#define isdigit banned_isdigit
#define isspace banned_isspace
#define isalnum banned_isalnum
#define toupper banned_toupper
#define tolower banned_tolower
#define setlocale banned_setlocale

#endif
