# Whole-command tests: each script runs the built command on a print day made by `trimwell start`,
# through tests/command/lib.sh. face.c is the public header used as a program would use it.
add_executable(json_get ${CMAKE_CURRENT_LIST_DIR}/json_get.c)
target_link_libraries(json_get PRIVATE tw_flags PkgConfig::CJSON)

foreach(script start check plan compose folder quick damage machine usage help json streams stop
        names inspect strict fillers rolls choose choices offcuts pins
        sets together free pixels colour proof damaged damaged_proof strip)
  add_test(NAME command/${script}
           COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/${script}.sh
                   $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get>)
  set_tests_properties(command/${script} PROPERTIES TIMEOUT 300 SKIP_RETURN_CODE 77)
endforeach()

add_executable(make_sample ${CMAKE_CURRENT_LIST_DIR}/make_sample.c)
target_link_libraries(make_sample PRIVATE tw_flags tw_make_image)
target_include_directories(make_sample PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/unit)
add_test(NAME command/damage_kinds
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/damage_kinds.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get>
                 $<TARGET_FILE:make_sample>)
set_tests_properties(command/damage_kinds PROPERTIES TIMEOUT 300)

add_test(NAME command/profiles
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/profiles.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get>
                 $<TARGET_FILE:make_sample>)
set_tests_properties(command/profiles PROPERTIES TIMEOUT 300)

add_executable(command_face ${CMAKE_CURRENT_LIST_DIR}/face.c)
target_link_libraries(command_face PRIVATE tw_flags trimwell PkgConfig::CMOCKA)
target_include_directories(command_face PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/unit)
add_test(NAME command/face COMMAND command_face)
set_tests_properties(command/face PROPERTIES TIMEOUT 600)

if(TRIMWELL_SANITIZE)
  set(made_with "-fsanitize=address,undefined")
elseif(TRIMWELL_COVERAGE)
  set(made_with "--coverage")
endif()
add_test(NAME command/install
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/install.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get> ${PROJECT_BINARY_DIR}
                 ${CMAKE_COMMAND} "${made_with}" ${CMAKE_C_COMPILER})
set_tests_properties(command/install PROPERTIES TIMEOUT 300)

add_test(NAME command/check_pdf
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/check_pdf.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get> ${TW_PROFILES})
set_tests_properties(command/check_pdf PROPERTIES TIMEOUT 300)

add_test(NAME command/grey
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/grey.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get> ${TW_PROFILES})
set_tests_properties(command/grey PROPERTIES TIMEOUT 300 SKIP_RETURN_CODE 77)

add_test(NAME command/readme
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/readme.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get> ${TW_PROFILES}
                 ${PROJECT_SOURCE_DIR}/README.md)
set_tests_properties(command/readme PROPERTIES TIMEOUT 300)

add_executable(locale_program ${CMAKE_CURRENT_LIST_DIR}/locale.c)
target_link_libraries(locale_program PRIVATE tw_flags trimwell)
add_test(NAME command/locale
         COMMAND sh ${CMAKE_CURRENT_LIST_DIR}/locale.sh
                 $<TARGET_FILE:trimwell-command> $<TARGET_FILE:json_get>
                 $<TARGET_FILE:locale_program>)
