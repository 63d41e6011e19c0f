# Finds the one face Trimwell sets its text in and builds it into the library, and builds the
# shipped templates and papers in likewise. fonts-free/README.md says which face and why.
find_file(TRIMWELL_FACE DejaVuSans.ttf
          PATHS /usr/share/fonts/truetype/dejavu /usr/share/fonts/dejavu-sans-fonts
                /usr/share/fonts/TTF /usr/local/share/fonts
          DOC "DejaVuSans.ttf 2.37 (Debian package fonts-dejavu-core)" REQUIRED)

add_executable(tw_embed fonts-free/embed.c)

set(TW_FACE_SOURCE ${PROJECT_BINARY_DIR}/face_bytes.c)
add_custom_command(OUTPUT ${TW_FACE_SOURCE}
  COMMAND tw_embed ${TW_FACE_SOURCE} tw_face_file ${TRIMWELL_FACE}
  DEPENDS tw_embed ${TRIMWELL_FACE} VERBATIM)

file(GLOB TW_SHIPPED_FILES CONFIGURE_DEPENDS templates-demo/papers/*.json
     templates-demo/templates/*.json)
set(TW_SHIPPED_SOURCE ${PROJECT_BINARY_DIR}/shipped_bytes.c)
add_custom_command(OUTPUT ${TW_SHIPPED_SOURCE}
  COMMAND tw_embed ${TW_SHIPPED_SOURCE} tw_shipped_files ${TW_SHIPPED_FILES}
  DEPENDS tw_embed ${TW_SHIPPED_FILES} VERBATIM)
