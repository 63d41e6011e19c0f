# Checks against the outside: each program composes print days with the built command and reads
# what it wrote with other people's tools (qpdf, poppler, MuPDF, Ghostscript, libpng, libjpeg).
file(GLOB helpers CONFIGURE_DEPENDS ${CMAKE_CURRENT_LIST_DIR}/*.c)
list(FILTER helpers EXCLUDE REGEX "/test_[^/]*$")
add_library(tw_outside STATIC ${helpers})
target_link_libraries(tw_outside PUBLIC tw_flags PkgConfig::CJSON PkgConfig::CMOCKA m
                      tw_make_image PNG::PNG JPEG::JPEG TIFF::TIFF)
target_include_directories(tw_outside PUBLIC ${CMAKE_CURRENT_SOURCE_DIR}/unit)
target_compile_definitions(tw_outside PUBLIC TRIMWELL_COMMAND="$<TARGET_FILE:trimwell-command>")

file(GLOB programs CONFIGURE_DEPENDS ${CMAKE_CURRENT_LIST_DIR}/test_*.c)
foreach(program IN LISTS programs)
  get_filename_component(name ${program} NAME_WE)
  add_executable(outside_${name} ${program})
  target_link_libraries(outside_${name} PRIVATE tw_outside)
  add_dependencies(outside_${name} trimwell-command)
  add_test(NAME outside/${name} COMMAND outside_${name})
  set_tests_properties(outside/${name} PROPERTIES TIMEOUT 240)
endforeach()

add_test(NAME outside/profiles COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/profiles.sh ${TW_PROFILES})
set_tests_properties(outside/profiles PROPERTIES TIMEOUT 240 SKIP_RETURN_CODE 77)

# The chart's differences are judged by the formula alone; its own test holds it to its source.
target_sources(outside_test_colour PRIVATE ${PROJECT_SOURCE_DIR}/lib/colour/ciede2000.c)
target_compile_definitions(outside_test_colour PRIVATE COLOUR_PROFILES="${TW_PROFILES}")
set_tests_properties(outside/test_colour PROPERTIES SKIP_RETURN_CODE 77)

# Builds the library twice, so it is run with the deep tests alone.
add_test(NAME outside/same_compilers
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/same_compilers.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get>
                 $<TARGET_FILE:make_sample> ${TW_PROFILES})
set_tests_properties(outside/same_compilers PROPERTIES LABELS deep TIMEOUT 2700 SKIP_RETURN_CODE 77)
